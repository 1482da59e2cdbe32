        XOR A
        LD DE,500
BELL:   XOR 1
        OUT (22h),A
        LD B,92
WAIT:   DJNZ WAIT
        DEC DE
        LD A,D
        OR E
        JR NZ,BELL
        HALT
