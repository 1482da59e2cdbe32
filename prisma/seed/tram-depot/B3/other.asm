; The counter in B, saved around the call.
        ORG 4000h
        LD B,250
SHOW:   PUSH BC
        CALL PAINT
        POP BC
        DJNZ SHOW
        RET
