; Without the stack: the end waits in L's place of HL, which need not be kept.
        ORG 4000h
        LD A,(LAST)
        LD L,A
        LD A,(FIRST)
        LD (LAST),A
        LD A,L
        LD (FIRST),A
        HALT
