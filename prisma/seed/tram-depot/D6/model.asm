; Depot clock. A handler counts the timer's ticks, a hundred to the second, and moves the time on; the program makes the
; sign, sweeps it, rings the bell and looks for a key. BUZZ runs with interrupts on, so that no tick is lost: each tick
; takes some 200 T out of a wave, which is why half a wave is 54 steps and not 55.
TICKS   EQU 4720h       ; ticks left to the next second
BELL    EQU 4721h       ; 1: the bell is due
        ORG 4000h
        LD HL,TICK
        LD (4710h),HL
        LD HL,TICKS
        LD (HL),100
        INC L
        LD (HL),0

; The sign is made with interrupts off, which they are at the start too: a second that ends meanwhile would leave it
; half old and half new.
CLOCK:  LD DE,4600h
        LD BC,4700h
        DI
        CALL TWO
        CALL DASH
        CALL TWO
        CALL DASH
        CALL TWO
        EI
        CALL PAINT
        LD HL,BELL
        BIT 0,(HL)
        JR Z,QUIET
        LD (HL),0
        LD HL,88        ; 88 waves of 880 Hz are 100 ms
        LD DE,54
        CALL BUZZ
QUIET:  LD A,0FFh       ; all columns at once
        OUT (21h),A
        IN A,(23h)
        AND 7
        JR Z,CLOCK
        DI
        HALT

; The byte at DE as two figures to BC and on.
TWO:    LD A,(DE)
        RRCA
        RRCA
        RRCA
        RRCA
        CALL ONE
        LD A,(DE)
        INC E
ONE:    CALL GLYPH
PUT:    LD (BC),A
        INC C
        RET
DASH:   LD A,40h
        JR PUT

; The handler keeps every register that it uses.
TICK:   PUSH AF
        PUSH HL
        LD HL,TICKS
        DEC (HL)
        JR NZ,DONE
        LD (HL),100
        LD HL,4602h
        CALL UP60
        JR NZ,DONE
        DEC L
        CALL UP60
        JR NZ,DONE
        LD A,1
        LD (BELL),A
        DEC L
        LD A,(HL)
        ADD A,1
        DAA
        CP 24h
        JR NZ,HOUR
        XOR A
HOUR:   LD (HL),A
DONE:   POP HL
        POP AF
        EI
        RET

; One more in the decimal byte at HL; 60 becomes 0, with Z set.
UP60:   LD A,(HL)
        ADD A,1
        DAA
        CP 60h
        JR NZ,SAME
        XOR A
SAME:   LD (HL),A
        RET
