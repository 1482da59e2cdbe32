        LD B,12
NEXT:   PUSH BC
        CALL GETKEY
        CALL GLYPH
        PUSH AF
        LD HL,4700h
        LD DE,4701h
        LD BC,7
        LDIR
        POP AF
        LD (4707h),A
        POP BC
        DJNZ NEXT
        RET
