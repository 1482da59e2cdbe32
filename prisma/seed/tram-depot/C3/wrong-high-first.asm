        LD HL,(4600h)
        LD DE,(4602h)
        LD A,H
        ADD A,D
        DAA
        LD H,A
        LD A,L
        ADC A,E
        DAA
        LD L,A
        LD (4604h),HL
        RET
