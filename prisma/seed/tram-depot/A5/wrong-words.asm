        PUSH DE
        LD HL,(4600h)
        LD DE,(460Fh)
        LD (460Fh),HL
        LD (4600h),DE
        POP DE
        HALT
