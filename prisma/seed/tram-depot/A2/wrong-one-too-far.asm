        LD HL,4600h
        LD (HL),37h
        INC HL
        LD (HL),73h
        INC HL
        LD (HL),73h
        HALT
