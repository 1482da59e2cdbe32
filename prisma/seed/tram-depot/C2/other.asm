; 250 whole waves counted in C, two halves each; E is the level and tells which half it is.
        ORG 4000h
        LD HL,4700h
        LD D,01h
        LD C,250
WAVE:   LD E,1
HALF:   XOR A
        OUT (21h),A
        LD A,(HL)
        OUT (20h),A
        LD A,D
        OUT (21h),A
        LD A,E
        OUT (22h),A
        LD A,244
PAUSE:  NOP
        DEC A
        JR NZ,PAUSE
        INC L
        RLC D
        JR NC,GOON
        LD L,A
GOON:   DEC E
        JR Z,HALF
        DEC C
        JR NZ,WAVE
        XOR A
        OUT (21h),A
        HALT
