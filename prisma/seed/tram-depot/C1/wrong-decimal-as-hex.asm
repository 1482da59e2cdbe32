        XOR A
        LD DE,500
BELL:   XOR 1
        OUT (22h),A
        LD B,92h
WAIT:   DJNZ WAIT
        LD C,A
        DEC DE
        LD A,D
        OR E
        LD A,C
        JR NZ,BELL
        HALT
