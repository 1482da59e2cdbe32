; Decimal fare: LD and INC L keep the carry for ADC.
        ORG 4000h
        LD HL,4602h
        LD A,(4600h)
        ADD A,(HL)
        DAA
        LD (4604h),A
        INC L
        LD A,(4601h)
        ADC A,(HL)
        DAA
        LD (4605h),A
        RET
