; Cause: the delay 92 was keyed as 92h = 146, so the note is far too low.
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
