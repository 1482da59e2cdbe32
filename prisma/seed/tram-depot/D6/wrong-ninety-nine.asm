TICKS   EQU 4720h
BELL    EQU 4721h
        ORG 4000h
        LD HL,TICK
        LD (4710h),HL
        LD HL,TICKS
        LD (HL),100
        INC L
        LD (HL),0
CLOCK:  LD DE,4600h
        LD BC,4700h
        DI
        CALL TWO
        CALL DASH
        CALL TWO
        CALL DASH
        CALL TWO
        EI
        CALL PAINT
        LD HL,BELL
        BIT 0,(HL)
        JR Z,QUIET
        LD (HL),0
        LD HL,88
        LD DE,54
        CALL BUZZ
QUIET:  LD A,0FFh
        OUT (21h),A
        IN A,(23h)
        AND 7
        JR Z,CLOCK
        DI
        HALT
TWO:    LD A,(DE)
        RRCA
        RRCA
        RRCA
        RRCA
        CALL ONE
        LD A,(DE)
        INC E
ONE:    CALL GLYPH
PUT:    LD (BC),A
        INC C
        RET
DASH:   LD A,40h
        JR PUT
TICK:   PUSH AF
        PUSH HL
        LD HL,TICKS
        DEC (HL)
        JR NZ,DONE
        LD (HL),99
        LD HL,4602h
        CALL UP60
        JR NZ,DONE
        DEC L
        CALL UP60
        JR NZ,DONE
        LD A,1
        LD (BELL),A
        DEC L
        LD A,(HL)
        ADD A,1
        DAA
        CP 24h
        JR NZ,HOUR
        XOR A
HOUR:   LD (HL),A
DONE:   POP HL
        POP AF
        EI
        RET
UP60:   LD A,(HL)
        ADD A,1
        DAA
        CP 60h
        JR NZ,SAME
        XOR A
SAME:   LD (HL),A
        RET
