        ORG 4000h
        LD HL,NOTES
        LD B,16
NEXT:   LD E,(HL)
        INC HL
        LD C,(HL)
        INC HL
        PUSH BC
        LD D,0
        LD H,D
        LD L,C
        CALL BUZZ
        POP BC
        DJNZ NEXT
        HALT
NOTES:  DB 120,20,115,21,110,22,105,23,100,24,95,25,91,26,87,28
        DB 83,29,79,30,76,32,72,33,69,35,66,36,63,38,60,40
