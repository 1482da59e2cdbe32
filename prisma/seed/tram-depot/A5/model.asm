; Swap the ends: BC is saved, B and C carry the two bytes.
        ORG 4000h
        PUSH BC
        LD HL,4600h
        LD B,(HL)
        LD L,0Fh
        LD C,(HL)
        LD (HL),B
        LD L,00h
        LD (HL),C
        POP BC
        HALT
