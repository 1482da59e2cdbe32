HELD    EQU 4720h
        ORG 4000h
        LD DE,4600h
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
        JR Z,ON
        DEC A
        JR NZ,KEY
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
        LD (DE),A
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
        OR C
        LD (DE),A
ON:     INC E
        JR DROP
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
