        LD HL,4600h
        LD B,(HL)
        LD DE,0
NEXT:   INC HL
        LD A,(HL)
        ADD A,E
        LD E,A
        JR NC,COUNT
        INC D
COUNT:  DJNZ NEXT
        LD (4720h),DE
        HALT
