        ORG 4000h
        XOR A
        LD D,A
        LD HL,4700h
        LD B,6
CLEAR:  LD (HL),A
        INC L
        DJNZ CLEAR
LOOP:   LD A,(4600h)
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
        LD A,80h
        OUT (21h),A
        IN A,(23h)
        AND 4
        JR NZ,ENDED
        LD A,1
        OUT (21h),A
        IN A,(23h)
        AND 1
        LD E,A
        XOR D
        AND E
        LD D,E
        JR Z,LOOP
        LD A,(4600h)
        ADD A,1
        DAA
        LD (4600h),A
        JR LOOP
ENDED:  HALT
