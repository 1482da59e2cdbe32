        LD A,B
        OR C
        RET Z
        LDIR
        RET
