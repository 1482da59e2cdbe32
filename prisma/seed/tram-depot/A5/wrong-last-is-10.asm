        PUSH BC
        LD HL,FIRST
        LD B,(HL)
        LD L,LAST+1-4600h
        LD C,(HL)
        LD (HL),B
        LD L,FIRST-4600h
        LD (HL),C
        POP BC
        HALT
