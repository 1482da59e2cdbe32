        LD A,(460Fh)
        LD (4600h),A
        LD A,(4600h)
        LD (460Fh),A
        HALT
