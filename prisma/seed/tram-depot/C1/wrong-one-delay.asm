        LD C,250
BELL:   LD A,1
        OUT (22h),A
        LD B,188
ONTIME: DJNZ ONTIME
        XOR A
        OUT (22h),A
        DEC C
        JR NZ,BELL
        HALT
