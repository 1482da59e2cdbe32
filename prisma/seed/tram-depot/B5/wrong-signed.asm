        LD HL,4600h
        LD BC,1000h
        LD A,(HL)
NEXT:   CP (HL)
        JP P,KEEP
        LD A,(HL)
        LD C,L
KEEP:   INC L
        DJNZ NEXT
        LD (HL),A
        INC L
        LD (HL),C
        OR A
        RET
