        PUSH BC
        LD HL,4600h
        LD B,(HL)
        LD L,10h
        LD C,(HL)
        LD (HL),B
        LD L,00h
        LD (HL),C
        POP BC
        HALT
