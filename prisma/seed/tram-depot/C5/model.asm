; Count presses: the key is looked at once after each sweep, every 8 ms, so that at most one look falls into 5 ms of
; bounce. D: the key at the last look, E: now. Only up-then-down is counted.
        ORG 4000h
        XOR A
        LD (4600h),A
        LD D,A
        LD HL,4700h     ; six digits stay dark
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
        LD A,80h        ; column 7, STOP in row 2
        OUT (21h),A
        IN A,(23h)
        AND 4
        JR NZ,ENDED
        LD A,1          ; column 0, key 0 in row 0
        OUT (21h),A
        IN A,(23h)
        AND 1
        LD E,A
        XOR D           ; has it changed?
        AND E           ; and is it down now?
        LD D,E
        JR Z,LOOP
        LD A,(4600h)
        ADD A,1
        DAA
        LD (4600h),A
        JR LOOP
ENDED:  HALT
