; Carry the fare: LD leaves the carry alone, so ADC can still use it.
        ORG 4000h
        LD HL,4600h
        LD A,(HL)
        INC L
        ADD A,(HL)
        INC L
        LD (HL),A
        INC L
        LD A,0
        ADC A,A
        LD (HL),A
        HALT
