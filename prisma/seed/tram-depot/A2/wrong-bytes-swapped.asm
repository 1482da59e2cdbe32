        LD HL,3773h
        LD (4600h),HL
        HALT
