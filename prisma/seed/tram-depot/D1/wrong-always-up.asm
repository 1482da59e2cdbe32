; Cause: LDIR whichever way the areas overlap.
        LD A,B
        OR C
        RET Z
        LDIR
        RET
