        LD HL,(4600h)
        LD DE,(4601h)
        ADD HL,DE
        LD (4604h),HL
        HALT
