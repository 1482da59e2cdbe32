; Cause: the first store overwrites the byte that the second one should store.
        LD A,(460Fh)
        LD (4600h),A
        LD A,(4600h)
        LD (460Fh),A
        HALT
