; Depot desk with two loops in place of a variable: AT is where the desk is while keys go to the address, INB while they
; go to the byte. The place stands in memory, where the figures are made from all its nibbles in turn.
PLACE   EQU 4720h
        ORG 4000h
        LD HL,4600h
        LD (PLACE),HL

AT:     CALL KEY
        JR NC,ATCMD
        LD HL,(PLACE)   ; HL x 16 + A
        LD B,4
TIMES:  ADD HL,HL
        DJNZ TIMES
        ADD A,L
        LD L,A
        LD (PLACE),HL
        JR AT
ATCMD:  CP 11h
        JR NZ,AT

INB:     CALL KEY
        JR NC,INCMD
        LD B,A
        LD HL,(PLACE)
        LD A,46h
        XOR H
        JR NZ,INB       ; outside the store
        LD A,(HL)
        ADD A,A
        ADD A,A
        ADD A,A
        ADD A,A
        ADD A,B
        LD (HL),A
        JR INB
INCMD:  CP 10h
        JR Z,AT
        JR INB

; Shows place and byte, waits for a key and does what BACK, NEXT and STOP ask. A: the key; carry: it is a figure.
KEY:    LD DE,4700h
        LD A,(PLACE+1)
        CALL PAIR
        LD A,(PLACE)
        CALL PAIR
        XOR A
        LD (4704h),A
        LD (4705h),A
        LD E,06h
        LD HL,(PLACE)
        LD A,(HL)
        CALL PAIR
        CALL GETKEY
        LD HL,(PLACE)
        CP 12h
        JR NZ,NOTBK
        DEC HL
NOTBK:  CP 13h
        JR NZ,NOTNX
        INC HL
NOTNX:  LD (PLACE),HL
        CP 17h
        JR Z,ENDED
        CP 10h
        RET
ENDED:  POP HL
        HALT

; A as two figures to DE and on.
PAIR:   LD B,A
        AND 0F0h
        RLCA
        RLCA
        RLCA
        RLCA
        CALL GLYPH
        LD (DE),A
        INC E
        LD A,B
        CALL GLYPH
        LD (DE),A
        INC E
        RET
