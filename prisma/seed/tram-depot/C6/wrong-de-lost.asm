        LD H,B
        LD E,C
        LD D,0
        LD L,D
        LD B,8
NEXT:   ADD HL,HL
        JR NC,SKIP
        ADD HL,DE
SKIP:   DJNZ NEXT
        RET
