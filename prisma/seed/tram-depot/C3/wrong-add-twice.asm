        LD HL,(4600h)
        LD DE,(4602h)
        LD A,L
        ADD A,E
        DAA
        LD L,A
        LD A,H
        ADD A,D
        DAA
        LD H,A
        LD (4604h),HL
        RET
