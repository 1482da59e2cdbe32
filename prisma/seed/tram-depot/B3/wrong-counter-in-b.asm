        LD B,250
SHOW:   CALL PAINT
        DJNZ SHOW
        RET
