; Cause: the firmware's BUZZ gives the tone.
        LD HL,250
        LD DE,48
        CALL BUZZ
        HALT
