; Cause: 100 sweeps instead of 250: 0.8 seconds.
        LD D,100
SHOW:   CALL PAINT
        DEC D
        JR NZ,SHOW
        RET
