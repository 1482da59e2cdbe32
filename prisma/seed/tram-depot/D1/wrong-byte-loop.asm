        LD A,B
        OR C
        RET Z
        PUSH HL
        SBC HL,DE
        POP HL
        JR C,UP
DOWN:   LD A,(HL)
        LD (DE),A
        INC HL
        INC DE
        DEC BC
        LD A,B
        OR C
        JR NZ,DOWN
        RET
UP:     ADD HL,BC
        DEC HL
        EX DE,HL
        ADD HL,BC
        DEC HL
        EX DE,HL
BACK:   LD A,(HL)
        LD (DE),A
        DEC HL
        DEC DE
        DEC BC
        LD A,B
        OR C
        JR NZ,BACK
        RET
