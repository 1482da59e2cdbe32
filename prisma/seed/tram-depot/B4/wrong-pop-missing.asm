; Cause: POP BC is missing, so RET takes the saved BC for an address.
        PUSH BC
        LD BC,48076
WAIT:   DEC BC
        LD A,B
        OR C
        JR NZ,WAIT
        RET
