; Cause: 48,076 is BBCCh; the halves were keyed in reading order, which makes it CCBBh = 52,411.
        PUSH BC
        DB 01h,0BBh,0CCh
WAIT:   DEC BC
        LD A,B
        OR C
        JR NZ,WAIT
        POP BC
        RET
