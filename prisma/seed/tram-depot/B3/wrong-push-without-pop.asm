; Cause: BC is pushed in every round and never taken back, so RET goes to data.
        LD B,250
SHOW:   PUSH BC
        CALL PAINT
        DJNZ SHOW
        RET
