        LD A,(LAST)
        LD (FIRST),A
        LD A,(FIRST)
        LD (LAST),A
        HALT
