FIELD   EQU 4720h
        ORG 4000h
        LD BC,4600h
        XOR A
        LD (FIELD),A
DESK:   CALL SHOW
        CALL GETKEY
        CP 10h
        JR C,FIGURE
        SUB 10h
        JR Z,CHOOSE
        DEC A
        JR Z,TOBYTE
        DEC A
        JR Z,BACK
        DEC A
        JR Z,ON
        CP 4
        JR NZ,DESK
        HALT
TOBYTE: INC A
CHOOSE: LD (FIELD),A
        JR DESK
BACK:   DEC BC
        JR DESK
ON:     INC BC
        JR DESK
FIGURE: LD E,A
        LD A,(FIELD)
        OR A
        LD H,B
        LD L,C
        JR NZ,ALTER
        ADD HL,HL
        ADD HL,HL
        ADD HL,HL
        ADD HL,HL
        LD A,L
        OR E
        LD L,A
        JR PUT
ALTER:  LD A,H
        CP 46h
        JR NZ,PUT
        LD A,E
        RLD
PUT:    LD B,H
        LD C,L
        JR DESK
SHOW:   LD DE,4700h
        LD A,B
        CALL TWO
        LD A,C
        CALL TWO
        XOR A
        LD (DE),A
        INC E
        LD (DE),A
        INC E
        LD A,(BC)
TWO:    PUSH AF
        RRCA
        RRCA
        RRCA
        RRCA
        CALL ONE
        POP AF
ONE:    CALL GLYPH
        LD (DE),A
        INC E
        RET
