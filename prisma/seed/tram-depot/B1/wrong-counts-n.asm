        LD HL,4600h
        LD B,(HL)
        LD DE,0
        INC B
        DEC B
        JR Z,DONE
NEXT:   LD A,(HL)
        INC HL
        ADD A,E
        LD E,A
        JR NC,COUNT
        INC D
COUNT:  DJNZ NEXT
DONE:   LD (4720h),DE
        HALT
