        LD HL,(4600h)
        LD DE,(4602h)
        LD A,L
        ADD A,E
        LD L,A
        LD A,H
        ADD A,D
        LD H,A
        LD (4604h),HL
        HALT
