        SCF
        LD HL,4600h
        LD A,(HL)
        INC L
        ADC A,(HL)
        INC L
        LD (HL),A
        INC L
        LD A,0
        ADC A,A
        LD (HL),A
        HALT
