        ORG 4000h
        EXX
        LD BC,500
        EXX
        LD HL,4700h
        LD DE,0001h
TURN:   XOR A
        OUT (21h),A
        LD A,(HL)
        OUT (20h),A
        LD A,E
        OUT (21h),A
        LD A,D
        XOR 1
        LD D,A
        OUT (22h),A
        LD BC,2
        CALL WAITMS
        INC L
        RLC E
        JR NC,SAME
        LD L,0
SAME:   EXX
        DEC BC
        LD A,B
        OR C
        EXX
        JR NZ,TURN
        OUT (21h),A
        HALT
