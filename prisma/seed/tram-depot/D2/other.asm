; Tick by interrupt with the second set of registers for the handler: B' counts the ticks, C' the seconds. The program has
; its own sweep of all eight digits.
        ORG 4000h
        DI
        EXX
        LD BC,6400h
        EXX
        XOR A
        LD (4600h),A
        LD HL,TICK
        LD (4710h),HL
        EI
FRAME:  LD DE,4707h     ; the last figure first, then the one before
        LD A,(4600h)
        LD C,A
        CALL GLYPH
        LD (DE),A
        DEC E
        LD A,C
        AND 0F0h
        RLCA
        RLCA
        RLCA
        RLCA
        CALL GLYPH
        LD (DE),A
        LD HL,4700h
        LD C,1
DIGIT:  LD A,(HL)
        OUT (20h),A
        LD A,C
        OUT (21h),A
        LD B,0
LIT:    DJNZ LIT
        XOR A
        OUT (20h),A
        INC L
        RLC C
        JR NC,DIGIT
        LD A,(4600h)
        SUB 10h
        JR NZ,FRAME
        DI
        HALT
TICK:   EX AF,AF'
        EXX
        DJNZ SAME
        LD B,100
        LD A,C
        ADD A,1
        DAA
        LD C,A
        LD (4600h),A
SAME:   EXX
        EX AF,AF'
        EI
        RET
