        ORG 4000h
        LD IX,NOTES
        LD C,0
        LD D,C
NOTE:   LD E,(IX+0)
        INC IX
        LD HL,4687
HALF:   LD A,C
        XOR 1
        LD C,A
        OUT (22h),A
        LD B,E
WAIT:   DJNZ WAIT
        SBC HL,DE
        JR NC,HALF
        LD A,E
        CP 116
        JR NZ,NOTE
        XOR A
        OUT (22h),A
        HALT
NOTES:  DB 236,226,215,205,196,187,178,170
        DB 162,155,147,141,134,128,122,116
