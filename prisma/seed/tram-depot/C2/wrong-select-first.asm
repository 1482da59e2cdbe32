        ORG 4000h
        EXX
        LD BC,500
        EXX
        LD HL,4700h
        LD DE,0001h
TURN:   LD A,D
        XOR 1
        LD D,A
        OUT (22h),A
        LD A,(HL)
        OUT (20h),A
        LD B,0
WAIT1:  DJNZ WAIT1
        LD B,118
WAIT2:  DJNZ WAIT2
        INC L
        RLC E
        JR NC,SAME
        LD L,0
SAME:   LD A,E
        OUT (21h),A
        EXX
        DEC BC
        LD A,B
        OR C
        EXX
        JR NZ,TURN
        OUT (21h),A
        HALT
