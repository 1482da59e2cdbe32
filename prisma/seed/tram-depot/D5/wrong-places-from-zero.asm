        ORG 4000h
        OR A
        JR NZ,VERIFY
        PUSH DE
        EX DE,HL
        LD (HL),E
        INC HL
        LD (HL),D
        INC HL
        LD (HL),B
        INC HL
        EX DE,HL
        LD C,B
        LD B,0
        LDIR
        POP HL
        CALL SUMS
        LD (HL),C
        INC HL
        LD (HL),D
        RET
VERIFY: PUSH HL
        INC HL
        INC HL
        LD A,(HL)
        POP HL
        OR A
        JR Z,BAD
        CP 33
        JR NC,BAD
        CALL SUMS
        LD E,(HL)
        INC HL
        LD H,(HL)
        LD L,E
        LD E,C
        OR A
        SBC HL,DE
        RET Z
BAD:    SCF
        RET
SUMS:   PUSH HL
        INC HL
        INC HL
        LD A,(HL)
        ADD A,3
        LD B,A
        POP HL
        LD C,0
        LD D,C
        LD E,C
EACH:   LD A,C
        ADD A,(HL)
        LD C,A
        PUSH BC
        LD B,E
        LD A,D
TIMES:  ADD A,(HL)
        DJNZ TIMES
        LD D,A
        POP BC
        INC E
        INC HL
        DJNZ EACH
        RET
