        PUSH BC
        LD BC,500
        CALL WAITMS
        POP BC
        RET
