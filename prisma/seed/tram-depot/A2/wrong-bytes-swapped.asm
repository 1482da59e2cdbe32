; Cause: HL holds 3773h, as one reads the number; stored low byte first it comes out the wrong way round.
        LD HL,3773h
        LD (4600h),HL
        HALT
