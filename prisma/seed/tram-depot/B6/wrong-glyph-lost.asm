        LD B,12
NEXT:   PUSH BC
        CALL GETKEY
        CALL GLYPH
        LD HL,4701h
        LD DE,4700h
        LD BC,7
        LDIR
        LD A,(DE)
        LD (DE),A
        POP BC
        DJNZ NEXT
        RET
