        LD D,100
SHOW:   CALL PAINT
        LD BC,12
        CALL WAITMS
        DEC D
        JR NZ,SHOW
        RET
