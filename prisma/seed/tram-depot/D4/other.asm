; Depot desk with two loops in place of a variable: IDLE waits for a first figure, WAIT for a second one, which D holds the
; first for. The place stands in memory, where INC (HL) and DEC (HL) move its low half.
PLACE   EQU 4720h
        ORG 4000h
        LD HL,4600h
        LD (PLACE),HL

FIRST:  CALL TAPE
IDLE:   CALL GETKEY
        CP 10h
        JR C,HALF
        LD HL,PLACE
        CP 17h
        JR Z,ENDED
        CP 16h
        JR Z,FORTH
        CP 15h
        JR NZ,IDLE
        DEC (HL)
        JR FIRST
FORTH:  INC (HL)
        JR FIRST

HALF:   LD D,A
        CALL GLYPH
        LD (4702h),A
        LD A,08h        ; _
        LD (4703h),A
WAIT:   CALL GETKEY
        LD HL,PLACE
        CP 10h
        JR C,WHOLE
        CP 15h
        JR Z,FIRST
        CP 16h
        JR Z,FORTH
        CP 17h
        JR NZ,WAIT
ENDED:  HALT

WHOLE:  LD C,A          ; D x 16 + A
        LD A,D
        LD B,4
TIMES:  ADD A,A
        DJNZ TIMES
        ADD A,C
        LD HL,(PLACE)
        LD (HL),A
        LD HL,PLACE
        JR FORTH

; Three bytes of the store from the one before the place on, then the place.
TAPE:   LD HL,(PLACE)
        DEC L
        LD DE,4700h
        LD B,3
CELLS:  LD A,(HL)
        CALL PAIR
        INC L
        DJNZ CELLS
        LD A,(PLACE)
PAIR:   PUSH HL
        LD C,A
        AND 0F0h
        RLCA
        RLCA
        RLCA
        RLCA
        CALL GLYPH
        LD (DE),A
        INC E
        LD A,C
        CALL GLYPH
        LD (DE),A
        INC E
        POP HL
        RET
