; Count presses with a sweep of its own: the key is looked at every millisecond, and what the last eight looks saw is kept
; in E. Eight times down is down, eight times up is up, anything between is bounce. D: 1 while it is down.
        ORG 4000h
        LD HL,4600h
        LD (HL),0
        LD DE,0
        LD HL,4700h
        LD B,6
CLEAR:  LD (HL),D
        INC L
        DJNZ CLEAR
SIGNS:  LD A,(4600h)
        CALL GLYPH
        LD (4707h),A
        LD A,(4600h)
        SRL A
        SRL A
        SRL A
        SRL A
        CALL GLYPH
        LD (4706h),A
        LD HL,4706h
        LD C,40h
DIGIT:  LD A,C
        OUT (21h),A
        LD A,(HL)
        OUT (20h),A
        LD B,190
WAIT:   DJNZ WAIT
        XOR A
        OUT (20h),A
        LD A,1
        OUT (21h),A
        IN A,(23h)
        RRCA            ; the key goes into the carry, and from there into the row of looks
        RL E
        LD A,E
        CP 0FFh
        JR Z,ISDOWN
        OR A
        JR NZ,NEXT
        LD D,A          ; surely up
        JR NEXT
ISDOWN: BIT 0,D
        JR NZ,NEXT
        INC D
        LD A,(4600h)
        ADD A,1
        DAA
        LD (4600h),A
NEXT:   INC L
        SLA C
        JR NZ,DIGIT
        LD A,80h
        OUT (21h),A
        IN A,(23h)
        BIT 2,A
        JR Z,SIGNS
        HALT
