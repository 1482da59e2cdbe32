        ORG 4000h
        LD HL,TICK
        LD (4710h),HL
        LD HL,4600h
        LD (HL),0
        INC L
        LD (HL),100
        EI
SHOW:   LD A,(4600h)
        RRCA
        RRCA
        RRCA
        RRCA
        CALL GLYPH
        LD (4706h),A
        LD A,(4600h)
        CALL GLYPH
        LD (4707h),A
        CALL PAINT
        LD A,(4600h)
        CP 10h
        JR C,SHOW
        DI
        HALT
TICK:   PUSH AF
        PUSH HL
        LD HL,4601h
        DEC (HL)
        JR NZ,DONE
        LD (HL),100
        DEC L
        LD A,(HL)
        ADD A,1
        DAA
        LD (HL),A
DONE:   POP HL
        POP AF
        RET
