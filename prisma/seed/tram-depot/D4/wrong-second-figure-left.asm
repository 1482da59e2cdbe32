HELD    EQU 4720h
        ORG 4000h
        LD DE,4600h
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
        DEC E
        JR DROP
FIGURE: LD C,A
        LD A,(HELD)
        INC A
        JR NZ,SECOND
        LD A,C
        JR KEEP
SECOND: DEC A
        LD B,A
        LD A,C
        ADD A,A
        ADD A,A
        ADD A,A
        ADD A,A
        OR B
        LD (DE),A
ON:     INC E
        JR DROP
SHOW:   LD BC,4700h
        DEC E
        CALL CELL
        CALL CELL
        CALL CELL
        DEC E
        DEC E
        LD A,E
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
CELL:   LD A,(DE)
        INC E
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
