; Without the stack: the end waits in L's place of HL, which need not be kept.
        ORG 4000h
        LD A,(460Fh)
        LD L,A
        LD A,(4600h)
        LD (460Fh),A
        LD A,L
        LD (4600h),A
        HALT
