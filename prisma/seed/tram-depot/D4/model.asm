; Depot desk. DE is the place, which GETKEY and GLYPH leave alone; whether keys go to the byte stands in memory.
; A byte is altered by RLD: the new figure comes in at the right, the old ones move left.
FIELD   EQU 4720h       ; 0: figures go to the address, 1: to the byte
        ORG 4000h
        LD DE,4600h
        XOR A
        LD (FIELD),A

DESK:   CALL SHOW
        CALL GETKEY
        CP 10h
        JR C,FIGURE
        SUB 10h
        JR Z,CHOOSE     ; PLACE: A = 0
        DEC A
        JR Z,TOBYTE
        DEC A
        JR Z,BACK
        DEC A
        JR Z,ON
        CP 4            ; RUN, LEFT and RIGHT are 1, 2 and 3 now, STOP is 4
        JR NZ,DESK
        HALT

TOBYTE: INC A
CHOOSE: LD (FIELD),A
        JR DESK
BACK:   DEC DE
        JR DESK
ON:     INC DE
        JR DESK

FIGURE: LD C,A
        LD A,(FIELD)
        OR A
        EX DE,HL        ; HL: the place; the flags stay
        JR NZ,ALTER
        ADD HL,HL
        ADD HL,HL
        ADD HL,HL
        ADD HL,HL
        LD A,L
        OR C
        LD L,A
        JR PUT
ALTER:  LD A,H          ; only the store of 4600h to 46FFh may be altered
        CP 46h
        JR NZ,PUT
        LD A,C
        RLD
PUT:    EX DE,HL
        JR DESK

; The place in four figures, two dark digits, and the byte that stands there.
SHOW:   LD BC,4700h
        LD A,D
        CALL TWO
        LD A,E
        CALL TWO
        XOR A
        LD (BC),A
        INC C
        LD (BC),A
        INC C
        LD A,(DE)
TWO:    PUSH AF
        RRCA
        RRCA
        RRCA
        RRCA
        CALL ONE
        POP AF
ONE:    CALL GLYPH
        LD (BC),A
        INC C
        RET
