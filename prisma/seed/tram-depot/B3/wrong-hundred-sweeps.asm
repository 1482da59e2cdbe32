        LD D,100
SHOW:   CALL PAINT
        DEC D
        JR NZ,SHOW
        RET
