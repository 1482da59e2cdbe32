; Cause: the firmware's WAITMS does the waiting.
        PUSH BC
        LD BC,500
        CALL WAITMS
        POP BC
        RET
