; Multiply by shifting and adding: at most 424 T.
        ORG 4000h
        PUSH DE
        LD A,B
        LD D,0
        LD E,C
        LD H,D
        LD L,D
        LD B,8
NEXT:   ADD HL,HL
        RLCA
        JR NC,SKIP
        ADD HL,DE
SKIP:   DJNZ NEXT
        POP DE
        RET
