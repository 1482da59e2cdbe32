        LD HL,4600h
        LD BC,0F00h
        LD A,(HL)
NEXT:   CP (HL)
        JR NC,KEEP
        LD A,(HL)
        LD C,L
KEEP:   INC L
        DJNZ NEXT
        LD HL,4610h
        LD (HL),A
        INC L
        LD (HL),C
        OR A
        RET
