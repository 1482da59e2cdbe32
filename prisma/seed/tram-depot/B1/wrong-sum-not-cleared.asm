        LD HL,4600h
        LD B,(HL)
        INC B
        DEC B
        JR Z,DONE
NEXT:   INC HL
        LD A,(HL)
        ADD A,E
        LD E,A
        JR NC,COUNT
        INC D
COUNT:  DJNZ NEXT
DONE:   LD (4720h),DE
        HALT
