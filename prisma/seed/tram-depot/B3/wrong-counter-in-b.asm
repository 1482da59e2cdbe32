; Cause: the counter is in B, which PAINT changes, so the loop does not count down.
        LD B,250
SHOW:   CALL PAINT
        DJNZ SHOW
        RET
