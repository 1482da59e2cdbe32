; Count the seats: sum in DE; at most 46 T a car.
        ORG 4000h
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
        JR NC,COUNT
        INC D
COUNT:  DJNZ NEXT
DONE:   LD (4720h),DE
        HALT
