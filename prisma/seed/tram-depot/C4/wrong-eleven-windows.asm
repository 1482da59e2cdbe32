        ORG 4000h
        LD D,0
STEP:   LD H,46h
        LD L,D
        LD BC,4700h
FILL:   LD A,(HL)
        LD (BC),A
        INC L
        LD A,L
        CP 12
        JR NZ,INROW
        LD L,0
INROW:  INC C
        BIT 3,C
        JR Z,FILL
        LD E,42
SHOW:   CALL PAINT
        DEC E
        JR NZ,SHOW
        INC D
        LD A,D
        CP 11
        JR NZ,STEP
        HALT
