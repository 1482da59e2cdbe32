; Cause: 37 and 73 without h are decimal: 25h and 49h.
        LD A,37
        LD (4600h),A
        LD A,73
        LD (4601h),A
        HALT
