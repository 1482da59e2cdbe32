        PUSH DE
        LD HL,(FIRST)
        LD DE,(LAST)
        LD (LAST),HL
        LD (FIRST),DE
        POP DE
        HALT
