; Steady board: 250 sweeps of 8 ms, counted in D, which PAINT leaves alone.
        ORG 4000h
        LD D,250
SHOW:   CALL PAINT
        DEC D
        JR NZ,SHOW
        RET
