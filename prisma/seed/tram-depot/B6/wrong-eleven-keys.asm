        LD B,11
NEXT:   PUSH BC
        CALL GETKEY
        CALL GLYPH
        PUSH AF
        LD HL,4701h
        LD DE,4700h
        LD BC,7
        LDIR
        POP AF
        LD (DE),A
        POP BC
        DJNZ NEXT
        RET
