        LD HL,4600h
        LD A,(HL)
        INC L
        ADD A,(HL)
        INC L
        LD (HL),A
        INC L
        XOR A
        ADC A,A
        LD (HL),A
        HALT
