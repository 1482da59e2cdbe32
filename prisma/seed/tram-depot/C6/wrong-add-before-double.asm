        PUSH DE
        LD A,B
        LD D,0
        LD E,C
        LD H,D
        LD L,D
        LD B,8
NEXT:   RLCA
        JR NC,SKIP
        ADD HL,DE
SKIP:   ADD HL,HL
        DJNZ NEXT
        POP DE
        RET
