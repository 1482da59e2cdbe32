; The count in E, which both routines leave alone, and a loop of its own for the move, from the right end.
        ORG 4000h
        LD E,12
NEXT:   CALL GETKEY
        CALL GLYPH
        LD HL,4707h
        LD B,8
MOVE:   LD C,(HL)
        LD (HL),A
        LD A,C
        DEC L
        DJNZ MOVE
        DEC E
        JR NZ,NEXT
        RET
