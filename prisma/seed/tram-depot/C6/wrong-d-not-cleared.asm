        PUSH DE
        LD A,B
        LD E,C
        LD HL,0
        LD B,8
NEXT:   ADD HL,HL
        RLCA
        JR NC,SKIP
        ADD HL,DE
SKIP:   DJNZ NEXT
        POP DE
        RET
