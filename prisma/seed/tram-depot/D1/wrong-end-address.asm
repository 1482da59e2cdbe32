        LD A,B
        OR C
        RET Z
        PUSH HL
        SBC HL,DE
        POP HL
        JR C,UP
        LDIR
        RET
UP:     ADD HL,BC
        EX DE,HL
        ADD HL,BC
        EX DE,HL
        LDDR
        RET
