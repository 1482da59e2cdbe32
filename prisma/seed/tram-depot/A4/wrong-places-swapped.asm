        LD HL,4600h
        LD A,(HL)
        INC L
        ADD A,(HL)
        LD (4603h),A
        LD A,0
        ADC A,A
        LD (4602h),A
        HALT
