        ORG 4000h
        LD HL,NOTES
        LD B,16
NEXT:   LD E,(HL)
        INC HL
        LD C,(HL)
        INC HL
        PUSH HL
        PUSH BC
        LD D,0
        LD H,D
        LD L,C
        CALL BUZZ
        POP BC
        POP HL
        DJNZ NEXT
        HALT
NOTES:  DB 120,20,113,21,106,23,100,24,95,25,90,27,86,28,82,29
        DB 78,31,75,32,72,33,69,35,67,36,64,37,62,39,60,40
