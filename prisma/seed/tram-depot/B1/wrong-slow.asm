        LD HL,0
        LD (4720h),HL
        LD HL,4600h
        LD B,(HL)
        INC B
        DEC B
        JR Z,DONE
NEXT:   INC HL
        PUSH HL
        LD E,(HL)
        LD D,0
        LD HL,(4720h)
        ADD HL,DE
        LD (4720h),HL
        POP HL
        DJNZ NEXT
DONE:   HALT
