; Two loops inside each other. Rounds of the inner one: 8 + 232 x 256 = 59,400 at 21 T, less 5 at each of its 233 ends;
; 233 x 16 outside, less 5; 11 + 10 + 10 + 10 around it: 1,249,999 T.
        ORG 4000h
        PUSH BC
        LD BC,08E9h
WAIT:   NOP
        NOP
        DJNZ WAIT
        DEC C
        JR NZ,WAIT
        POP BC
        RET
