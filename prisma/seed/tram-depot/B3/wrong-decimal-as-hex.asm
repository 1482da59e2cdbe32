; Cause: 250 was cut to 25 and keyed as 25h: 37 sweeps.
        LD D,25h
SHOW:   CALL PAINT
        DEC D
        JR NZ,SHOW
        RET
