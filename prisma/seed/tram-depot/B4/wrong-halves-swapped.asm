        PUSH BC
        DB 01h,0BBh,0CCh
WAIT:   DEC BC
        LD A,B
        OR C
        JR NZ,WAIT
        POP BC
        RET
