        LD A,37h
        LD (4600h),A
        LD A,73h
        LD (4601h),A
