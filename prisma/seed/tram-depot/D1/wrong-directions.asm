        LD A,B
        OR C
        RET Z
        PUSH HL
        SBC HL,DE
        POP HL
        JR NC,UP
        LDIR
        RET
UP:     ADD HL,BC
        DEC HL
        EX DE,HL
        ADD HL,BC
        DEC HL
        EX DE,HL
        LDDR
        RET
