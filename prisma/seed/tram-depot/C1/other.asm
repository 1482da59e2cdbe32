; One round for each whole wave: high 13 x 95 + 17 = 1,252 T, low 13 x 93 + 36 = 1,245 T.
        ORG 4000h
        LD C,250
BELL:   LD A,1
        OUT (22h),A
        LD B,95
ONTIME: DJNZ ONTIME
        XOR A
        OUT (22h),A
        LD B,93
OFTIME: DJNZ OFTIME
        DEC C
        JR NZ,BELL
        HALT
