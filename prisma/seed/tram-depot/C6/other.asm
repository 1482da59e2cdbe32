; The first number sits in H and falls out of HL bit by bit while the product grows in from the right.
        ORG 4000h
        PUSH DE
        LD H,B
        LD E,C
        LD D,0
        LD L,D
        LD B,8
NEXT:   ADD HL,HL
        JR NC,SKIP
        ADD HL,DE
SKIP:   DJNZ NEXT
        POP DE
        RET
