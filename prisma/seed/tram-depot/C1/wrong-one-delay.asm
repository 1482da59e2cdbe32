; Cause: only the high half is delayed by the loop; the low half lasts as long as the instructions around it.
        LD C,250
BELL:   LD A,1
        OUT (22h),A
        LD B,188
ONHALF:   DJNZ ONHALF
        XOR A
        OUT (22h),A
        DEC C
        JR NZ,BELL
        HALT
