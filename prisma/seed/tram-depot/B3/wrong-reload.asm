SHOW:   LD D,250
        CALL PAINT
        DEC D
        JR NZ,SHOW
        RET
