; Both bytes at once: HL is stored low byte first.
        LD HL,7337h
        LD (4600h),HL
        HALT
