        LD D,250
SHOW:   CALL PAINT
        DEC D
        JR NZ,SHOW
        HALT
