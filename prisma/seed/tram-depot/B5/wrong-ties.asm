        LD HL,4600h
        LD BC,1000h
        LD A,(HL)
NEXT:   LD D,A
        LD A,(HL)
        CP D
        JR NC,TAKE
        LD A,D
        JR KEEP
TAKE:   LD C,L
KEEP:   INC L
        DJNZ NEXT
        LD (HL),A
        INC L
        LD (HL),C
        OR A
        RET
