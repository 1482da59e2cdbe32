        PUSH HL
        OR A
        SBC HL,DE
        POP HL
        JR C,UP
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
