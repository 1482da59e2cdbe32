; Fullest tram: A is the largest so far, C its place; L is the place looked at.
        ORG 4000h
        LD HL,4600h
        LD BC,1000h
        LD A,(HL)
NEXT:   CP (HL)
        JR NC,KEEP
        LD A,(HL)
        LD C,L
KEEP:   INC L
        DJNZ NEXT
        LD (HL),A
        INC L
        LD (HL),C
        OR A
        RET
