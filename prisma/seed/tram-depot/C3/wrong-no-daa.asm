        LD HL,(4600h)
        LD DE,(4602h)
        ADD HL,DE
        LD (4604h),HL
        RET
