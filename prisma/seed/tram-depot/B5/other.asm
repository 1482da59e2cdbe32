; From the last place to the first, taking the new one when it is equal or more.
        ORG 4000h
        LD HL,460Fh
        LD DE,000Fh
NEXT:   LD A,(HL)
        CP D
        JR C,KEEP
        LD D,A
        LD E,L
KEEP:   DEC L
        JP P,NEXT
        LD A,D
        LD (4610h),A
        LD HL,4611h
        LD (HL),E
        OR A
        RET
