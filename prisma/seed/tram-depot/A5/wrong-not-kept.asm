        LD HL,4600h
        LD B,(HL)
        LD L,0Fh
        LD C,(HL)
        LD (HL),B
        LD L,00h
        LD (HL),C
        HALT
