; Cause: DEC BC changes no flag, so JR NZ looks at flags from before the loop.
        PUSH BC
        LD BC,48076
        OR A
WAIT:   DEC BC
        JR NZ,WAIT
        POP BC
        RET
