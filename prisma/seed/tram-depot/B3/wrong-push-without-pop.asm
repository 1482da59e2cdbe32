        LD B,250
SHOW:   PUSH BC
        CALL PAINT
        DJNZ SHOW
        RET
