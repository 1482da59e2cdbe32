; Cause: HALT instead of RET: the caller never goes on.
        LD D,250
SHOW:   CALL PAINT
        DEC D
        JR NZ,SHOW
        HALT
