FIELD   EQU 4720h
        ORG 4000h
        LD DE,4600h
        XOR A
        LD (FIELD),A
DESK:   CALL SHOW
        CALL GETKEY
        CP 10h
        JR C,FIGURE
        SUB 10h
        JR Z,CHOOSE
        DEC A
        JR Z,TOBYTE
        DEC A
        JR Z,BACK
        DEC A
        JR Z,ON
        CP 4
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
        EX DE,HL
        JR NZ,ALTER
        ADD HL,HL
        ADD HL,HL
        ADD HL,HL
        ADD HL,HL
        LD A,L
        OR C
        LD L,A
        JR PUT
ALTER:  LD A,H
        CP 46h
        JR NZ,PUT
        LD A,C
        RRD
PUT:    EX DE,HL
        JR DESK
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
