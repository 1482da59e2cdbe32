; Cause: the second word was read one byte early, at 4601h.
        LD HL,(4600h)
        LD DE,(4601h)
        ADD HL,DE
        LD (4604h),HL
        HALT
