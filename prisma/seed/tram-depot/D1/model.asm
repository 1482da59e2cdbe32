; Move the timetable: up with LDDR from the ends, down with LDIR.
        ORG 4000h
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
        DEC HL
        EX DE,HL
        ADD HL,BC
        DEC HL
        EX DE,HL
        LDDR
        RET
