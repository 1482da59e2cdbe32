        LD HL,250
        LD DE,48
        CALL BUZZ
        HALT
