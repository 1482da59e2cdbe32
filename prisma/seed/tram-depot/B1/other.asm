; The same with the sum in HL and a carry added as a number; the test for 0 stands behind a first jump.
        ORG 4000h
        LD DE,4600h
        LD A,(DE)
        LD B,A
        LD HL,0
        LD C,L
        INC B
        JR COUNT
NEXT:   INC DE
        LD A,(DE)
        ADD A,L
        LD L,A
        LD A,C
        ADC A,H
        LD H,A
COUNT:  DJNZ NEXT
        LD (4720h),HL
        HALT
