; The same eight bytes, written as instructions.
        ORG 4000h
        LD A,5
        LD B,3
AGAIN:  ADD A,B
        DJNZ AGAIN
        HALT
