; Crossing bell: 500 half waves of 7 + 11 + (7 + 13 x 92 - 5) + 4 + 6 + 4 + 4 + 4 + 12 = 1,250 T.
        ORG 4000h
        XOR A
        LD DE,500
BELL:   XOR 1
        OUT (22h),A
        LD B,92
WAIT:   DJNZ WAIT
        LD C,A
        DEC DE
        LD A,D
        OR E
        LD A,C
        JR NZ,BELL
        HALT
