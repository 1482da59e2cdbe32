HELD    EQU 4720h
        ORG 4000h
        LD BC,4600h
DROP:   LD A,0FFh
KEEP:   LD (HELD),A
DESK:   CALL SHOW
        CALL GETKEY
        CP 10h
        JR C,FIGURE
        SUB 15h
        JR Z,LEFT
        DEC A
        JR Z,ON
        DEC A
        JR NZ,DESK
        HALT
LEFT:   LD A,(HELD)
        INC A
        JR NZ,DROP
        DEC C
        JR DROP
FIGURE: LD E,A
        LD A,(HELD)
        INC A
        JR NZ,SECOND
        LD A,E
        JR KEEP
SECOND: DEC A
        ADD A,A
        ADD A,A
        ADD A,A
        ADD A,A
        OR E
        LD (BC),A
ON:     INC C
        JR DROP
SHOW:   LD DE,4700h
        DEC C
        CALL CELL
        CALL CELL
        CALL CELL
        DEC C
        DEC C
        LD A,C
        CALL TWO
        LD A,(HELD)
        CP 0FFh
        RET Z
        CALL GLYPH
        LD HL,4702h
        LD (HL),A
        INC L
        LD (HL),08h
        RET
CELL:   LD A,(BC)
        INC C
TWO:    PUSH AF
        RRCA
        RRCA
        RRCA
        RRCA
        CALL ONE
        POP AF
ONE:    CALL GLYPH
        LD (DE),A
        INC E
        RET
