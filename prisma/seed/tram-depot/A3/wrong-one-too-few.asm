; Cause: BC is 7, the last digit's number when one counts from 0; eight bytes are to be copied.
        LD HL,GLYPHS
        LD DE,4700h
        LD BC,7
        LDIR
        CALL PAINT
        HALT
GLYPHS: DB 5Eh,79h,73h,5Ch,78h,00h,4Fh,07h
