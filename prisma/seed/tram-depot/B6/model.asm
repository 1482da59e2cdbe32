; Ask the keypad: the count is saved around the call, the new glyph around the move.
        ORG 4000h
        LD B,12
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
