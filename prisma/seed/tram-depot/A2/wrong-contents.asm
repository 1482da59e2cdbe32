; Cause: LD A,(37h) takes what stands at address 0037h instead of the number 37h.
        LD A,(37h)
        LD (4600h),A
        LD A,(73h)
        LD (4601h),A
        HALT
