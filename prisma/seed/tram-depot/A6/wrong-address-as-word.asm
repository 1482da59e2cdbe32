; Cause: LD HL,4600h loads the address itself, not the word that stands there.
        LD HL,4600h
        LD DE,4602h
        ADD HL,DE
        LD (4604h),HL
        HALT
