; The same with DJNZ, from the right end to the left.
        ORG 4000h
        LD HL,LAST
        LD DE,4707h
        LD B,8
COPY:   LD A,(HL)
        LD (DE),A
        DEC HL
        DEC DE
        DJNZ COPY
        CALL 0040h
        HALT
GLYPHS: DB 5Eh,79h,73h,5Ch,78h,00h,4Fh
LAST:   DB 07h
