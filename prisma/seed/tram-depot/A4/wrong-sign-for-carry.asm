; Cause: the sign of the sum is taken for the carry.
        LD HL,4600h
        LD A,(HL)
        INC L
        ADD A,(HL)
        INC L
        LD (HL),A
        INC L
        LD (HL),0
        JP P,DONE
        LD (HL),1
DONE:   HALT
