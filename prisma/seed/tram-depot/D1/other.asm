; The comparison byte by byte, the ends reached by adding BC - 1.
        ORG 4000h
        LD A,B
        OR C
        RET Z
        LD A,D
        CP H
        JR NZ,TOLD
        LD A,E
        CP L
TOLD:   JR C,DOWN
        DEC BC
        ADD HL,BC
        EX DE,HL
        ADD HL,BC
        EX DE,HL
        INC BC
        LDDR
        RET
DOWN:   LDIR
        RET
