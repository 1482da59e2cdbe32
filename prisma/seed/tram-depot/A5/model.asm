; Swap the ends: BC is saved, B and C carry the two bytes.
        ORG 4000h
        PUSH BC
        LD HL,FIRST
        LD B,(HL)
        LD L,LAST-4600h
        LD C,(HL)
        LD (HL),B
        LD L,FIRST-4600h
        LD (HL),C
        POP BC
        HALT
