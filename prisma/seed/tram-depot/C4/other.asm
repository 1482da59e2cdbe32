; Scrolling sign: the buffer is moved one place to the left and the next glyph of the text comes in at the right.
; A step is 41 sweeps and a pause of 5 ms. DE: the next glyph; the windows are counted in the other B.
        ORG 4000h
        LD HL,4600h
        LD DE,4700h
        LD BC,8
        LDIR
        EX DE,HL        ; DE = 4608h, the first glyph that is not yet to be seen
        EXX
        LD B,12
        EXX
STEP:   PUSH DE
        LD D,41
SHOW:   CALL PAINT
        DEC D
        JR NZ,SHOW
        LD BC,5
        CALL WAITMS
        LD HL,4701h
        LD DE,4700h
        LD C,7
        LDIR
        POP HL
        LD A,(HL)
        LD (DE),A
        INC L
        LD A,L
        SUB 12          ; behind the twelfth glyph stands the first
        JR NZ,MORE
        LD L,A
MORE:   EX DE,HL
        EXX
        DEC B
        EXX
        JR NZ,STEP
        HALT
