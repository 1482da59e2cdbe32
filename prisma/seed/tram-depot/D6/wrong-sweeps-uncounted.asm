        ORG 4000h
        LD A,40h
        LD (4702h),A
        LD (4705h),A
NEXT:   LD A,125
CLOCK:  PUSH AF
        LD DE,4602h
        LD BC,4707h
        CALL TWO
        CALL TWO
        CALL TWO
        POP DE
SHOW:   CALL PAINT
        LD A,0FFh
        OUT (21h),A
        IN A,(23h)
        AND 7
        JR NZ,ENDED
        DEC D
        JR NZ,SHOW
        LD HL,4602h
        CALL UP60
        JR NZ,NEXT
        DEC L
        CALL UP60
        JR NZ,NEXT
        DEC L
        LD A,(HL)
        ADD A,1
        DAA
        LD (HL),A
        SUB 24h
        JR NZ,HOUR
        LD (HL),A
HOUR:   LD HL,84
        LD DE,55
        CALL BUZZ
        LD A,112
        JR CLOCK
ENDED:  HALT
UP60:   LD A,(HL)
        ADD A,1
        DAA
        LD (HL),A
        SUB 60h
        RET NZ
        LD (HL),A
        RET
TWO:    LD A,(DE)
        CALL GLYPH
        LD (BC),A
        DEC C
        LD A,(DE)
        RRCA
        RRCA
        RRCA
        RRCA
        CALL GLYPH
        LD (BC),A
        DEC C
        DEC C
        DEC E
        RET
