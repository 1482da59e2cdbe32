        LD HL,(4600h)
        LD DE,(4602h)
        ADD HL,DE
        LD A,H
        LD H,L
        LD L,A
        LD (4604h),HL
        HALT
