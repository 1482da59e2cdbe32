; Cause: the jump goes back to where the counter is loaded, so it never gets to 0.
SHOW:   LD D,250
        CALL PAINT
        DEC D
        JR NZ,SHOW
        RET
