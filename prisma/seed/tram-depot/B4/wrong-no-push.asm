        LD BC,48076
WAIT:   DEC BC
        LD A,B
        OR C
        JR NZ,WAIT
        RET
