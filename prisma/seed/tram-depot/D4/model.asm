; Depot desk. DE is the place, which GETKEY and GLYPH leave alone. Only E moves, so the store is a ring and nothing else
; can be reached. The first figure of a byte waits in HELD, and no byte is written before its second one is there.
HELD    EQU 4720h       ; 0 to 15, or FFh: no figure is waiting
        ORG 4000h
        LD DE,4600h

; The byte before, the byte here, the byte after, and the low half of the place.
DROP:   LD A,0FFh
        LD (HELD),A
        LD BC,4700h
        DEC E
        CALL CELL
        CALL CELL
        CALL CELL
        DEC E
        DEC E
        LD A,E
        CALL TWO

KEY:    CALL GETKEY
        CP 10h
        JR C,FIGURE
        SUB 15h
        JR Z,LEFT
        DEC A
        JR Z,ON         ; RIGHT
        DEC A
        JR NZ,KEY       ; not STOP either
        HALT

LEFT:   LD A,(HELD)
        INC A
        JR NZ,DROP      ; a figure was waiting: only forget it
        DEC E
        JR DROP

FIGURE: LD C,A
        LD A,(HELD)
        INC A
        JR NZ,SECOND
        LD A,C
        LD (HELD),A
        CALL GLYPH      ; over the byte here: the figure that waits, and a _
        LD (4702h),A
        LD A,08h
        LD (4703h),A
        JR KEY
SECOND: DEC A
        ADD A,A         ; times 16
        ADD A,A
        ADD A,A
        ADD A,A
        OR C
        LD (DE),A
ON:     INC E
        JR DROP

; The byte at DE, and A, as two figures at BC and on.
CELL:   LD A,(DE)
        INC E
TWO:    PUSH AF
        RRCA
        RRCA
        RRCA
        RRCA
        CALL GLYPH
        LD (BC),A
        INC C
        POP AF
        CALL GLYPH
        LD (BC),A
        INC C
        RET
