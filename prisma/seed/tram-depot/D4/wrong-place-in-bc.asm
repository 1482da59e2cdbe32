HELD    EQU 4720h
        ORG 4000h
        LD BC,4600h
DROP:   LD A,0FFh
        LD (HELD),A
        LD DE,4700h
        DEC C
        CALL CELL
        CALL CELL
        CALL CELL
        DEC C
        DEC C
        LD A,C
        CALL TWO
KEY:    CALL GETKEY
        CP 10h
        JR C,FIGURE
        SUB 15h
        JR Z,LEFT
        DEC A
        JR Z,ON
        DEC A
        JR NZ,KEY
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
        LD (HELD),A
        CALL GLYPH
        LD (4702h),A
        LD A,08h
        LD (4703h),A
        JR KEY
SECOND: DEC A
        ADD A,A
        ADD A,A
        ADD A,A
        ADD A,A
        OR E
        LD (BC),A
ON:     INC C
        JR DROP
CELL:   LD A,(BC)
        INC C
TWO:    PUSH AF
        RRCA
        RRCA
        RRCA
        RRCA
        CALL GLYPH
        LD (DE),A
        INC E
        POP AF
        CALL GLYPH
        LD (DE),A
        INC E
        RET
