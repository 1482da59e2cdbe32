        PUSH DE
        LD HL,0
        LD D,H
        LD E,C
        INC B
        JR COUNT
NEXT:   ADD HL,DE
COUNT:  DJNZ NEXT
        POP DE
        RET
