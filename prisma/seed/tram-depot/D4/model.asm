; Depot desk. DE is the place, which GETKEY and GLYPH leave alone. Only E moves, so the store is a ring and nothing else
; can be reached. The first figure of a byte waits in HELD, and no byte is written before its second one is there.
HELD    EQU 4720h       ; 0 to 15, or FFh: no figure is waiting
        ORG 4000h
        LD DE,4600h

DROP:   LD A,0FFh
KEEP:   LD (HELD),A
DESK:   CALL SHOW
        CALL GETKEY
        CP 10h
        JR C,FIGURE
        SUB 15h
        JR Z,LEFT
        DEC A
        JR Z,ON         ; RIGHT
        DEC A
        JR NZ,DESK      ; not STOP either
        HALT

LEFT:   LD A,(HELD)
        INC A
        JR NZ,DROP      ; a figure was waiting: only forget it
        DEC E
        JR DROP

FIGURE: LD C,A
        LD A,(HELD)
        INC A
        JR NZ,SECOND
        LD A,C
        JR KEEP
SECOND: DEC A
        ADD A,A         ; times 16
        ADD A,A
        ADD A,A
        ADD A,A
        OR C
        LD (DE),A
ON:     INC E
        JR DROP

; The byte before, the byte here, the byte after, and the low half of the place.
SHOW:   LD BC,4700h
        DEC E
        CALL CELL
        CALL CELL
        CALL CELL
        DEC E
        DEC E
        LD A,E
        CALL TWO
        LD A,(HELD)
        CP 0FFh
        RET Z
        CALL GLYPH      ; over the byte here: the figure that waits, and a _
        LD HL,4702h
        LD (HL),A
        INC L
        LD (HL),08h
        RET
CELL:   LD A,(DE)
        INC E
TWO:    PUSH AF
        RRCA
        RRCA
        RRCA
        RRCA
        CALL ONE
        POP AF
ONE:    CALL GLYPH
        LD (BC),A
        INC C
        RET
