        PUSH BC
        LD BC,48076
        OR A
WAIT:   DEC BC
        JR NZ,WAIT
        POP BC
        RET
