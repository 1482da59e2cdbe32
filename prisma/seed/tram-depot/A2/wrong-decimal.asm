        LD A,37
        LD (4600h),A
        LD A,73
        LD (4601h),A
        HALT
