; Eight bits in a pair of 16: the carry ends up in H by itself.
        ORG 4000h
        LD HL,(4600h)
        LD E,H
        LD H,0
        LD D,H
        ADD HL,DE
        LD (4602h),HL
        HALT
