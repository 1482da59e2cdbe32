; The second word first and through BC.
        ORG 4000h
        LD BC,(4600h)
        LD HL,(4602h)
        ADD HL,BC
        LD (4604h),HL
        HALT
