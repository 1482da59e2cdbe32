; Half a second: 11 + 10 + (26n - 5) + 10 + 10 = 26n + 36 T; n = 48,076 gives 1,250,012 T.
        ORG 4000h
        PUSH BC
        LD BC,48076
WAIT:   DEC BC
        LD A,B
        OR C
        JR NZ,WAIT
        POP BC
        RET
