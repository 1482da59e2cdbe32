; Depot clock without interrupts: every way round the loop takes a second, counted in T-states.
;   the sign 720, 124 sweeps with a look at the keys 124 x 20,059 - 5, the pause 26 x 456 + 5, one second more 112:
;   2,500,004 T together, 1.6 ppm too long. A second that rolls over takes 50 T more for each byte that does.
; The bell, 84 waves of 2,860 T, takes the time of 12 sweeps, so that second has 112.
        ORG 4000h
        LD A,40h
        LD (4702h),A
        LD (4705h),A
NEXT:   LD A,124
CLOCK:  PUSH AF
        LD DE,4602h     ; the sign is written from right to left
        LD BC,4707h
        CALL TWO
        CALL TWO
        CALL TWO
        POP DE          ; D: sweeps in this second
SHOW:   CALL PAINT
        LD A,0FFh
        OUT (21h),A
        IN A,(23h)
        AND 7
        JR NZ,ENDED
        DEC D
        JR NZ,SHOW
        LD BC,456
PAUSE:  DEC BC
        LD A,B
        OR C
        JR NZ,PAUSE
        LD HL,4602h
        CALL UP60
        JR NZ,NEXT
        DEC L
        CALL UP60
        JR NZ,NEXT
        DEC L
        LD A,(HL)
        ADD A,1
        DAA
        LD (HL),A
        SUB 24h
        JR NZ,HOUR
        LD (HL),A
HOUR:   LD HL,84
        LD DE,55
        CALL BUZZ
        LD A,112
        JR CLOCK
ENDED:  HALT

UP60:   LD A,(HL)
        ADD A,1
        DAA
        LD (HL),A
        SUB 60h
        RET NZ
        LD (HL),A
        RET

; The byte at DE as two figures to BC, and over the dash.
TWO:    LD A,(DE)
        CALL GLYPH
        LD (BC),A
        DEC C
        LD A,(DE)
        RRCA
        RRCA
        RRCA
        RRCA
        CALL GLYPH
        LD (BC),A
        DEC C
        DEC C
        DEC E
        RET
