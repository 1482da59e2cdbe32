        ORG 4000h
        OR A
        JR NZ,VERIFY
        EX DE,HL
        PUSH HL
        LD (HL),D
        INC HL
        LD (HL),E
        INC HL
        LD (HL),B
COPY:   INC HL
        LD A,(DE)
        LD (HL),A
        INC DE
        DJNZ COPY
        POP HL
        CALL SUMS
        LD (HL),C
        INC HL
        LD (HL),D
        RET
VERIFY: CALL SUMS
        RET C
        LD A,(HL)
        CP C
        JR NZ,FAULTY
        INC HL
        LD A,(HL)
        CP D
        RET Z
FAULTY: SCF
        RET
SUMS:   INC HL
        INC HL
        LD A,(HL)
        DEC A
        CP 32
        CCF
        RET C
        LD D,0
        LD C,D
        ADD A,2
        LD E,A
        ADD HL,DE
        ADD A,2
        LD B,A
        PUSH HL
SUM:    DEC HL
        LD A,C
        ADD A,(HL)
        LD C,A
        ADD A,D
        LD D,A
        DJNZ SUM
        POP HL
        OR A
        RET
