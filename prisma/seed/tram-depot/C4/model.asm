; Scrolling sign: twelve windows on a row that is closed to a ring, each swept 42 times.
; A step takes 42 x 20,016 + 674 = 841,346 T = 336.5 ms. D: first glyph of the window; E: sweeps left.
        ORG 4000h
        LD D,0
STEP:   LD H,46h
        LD L,D
        LD BC,4700h
FILL:   LD A,(HL)
        LD (BC),A
        INC L
        LD A,L
        CP 12
        JR NZ,INROW
        LD L,0
INROW:  INC C
        BIT 3,C
        JR Z,FILL
        LD E,42
SHOW:   CALL PAINT
        DEC E
        JR NZ,SHOW
        INC D
        LD A,D
        CP 12
        JR NZ,STEP
        HALT
