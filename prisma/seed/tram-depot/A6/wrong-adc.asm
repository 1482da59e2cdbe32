        SCF
        LD HL,(4600h)
        LD DE,(4602h)
        ADC HL,DE
        LD (4604h),HL
        HALT
