; Cause: 48,000 rounds instead of 48,076: close, but not to the thousandth.
        PUSH BC
        LD BC,48000
WAIT:   DEC BC
        LD A,B
        OR C
        JR NZ,WAIT
        POP BC
        RET
