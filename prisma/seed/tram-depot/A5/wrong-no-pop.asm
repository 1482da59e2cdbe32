        PUSH BC
        LD HL,FIRST
        LD B,(HL)
        LD L,LAST-4600h
        LD C,(HL)
        LD (HL),B
        LD L,FIRST-4600h
        LD (HL),C
        HALT
