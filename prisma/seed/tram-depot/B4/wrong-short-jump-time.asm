; Cause: the round was counted with 7 T for the jump instead of 12, so there are too many rounds.
        PUSH BC
        LD BC,59524
WAIT:   DEC BC
        LD A,B
        OR C
        JR NZ,WAIT
        POP BC
        RET
