        LD HL,4600h
        LD B,(HL)
        LD DE,0
        INC B
        DEC B
        JR Z,DONE
NEXT:   INC HL
        LD A,(HL)
        ADD A,E
        LD E,A
        DJNZ NEXT
DONE:   LD (4720h),DE
        HALT
