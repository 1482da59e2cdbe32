; Cause: a pause of 12 ms after every sweep: 50 sweeps a second, and the digits flicker.
        LD D,100
SHOW:   CALL PAINT
        LD BC,12
        CALL WAITMS
        DEC D
        JR NZ,SHOW
        RET
