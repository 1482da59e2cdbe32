        LD D,25h
SHOW:   CALL PAINT
        DEC D
        JR NZ,SHOW
        RET
