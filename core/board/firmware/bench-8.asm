; Firmware of Bench-8, the demo board.
;
; Entries stand at fixed addresses, eight bytes apart, so that a program can call them by number:
; PAINT 0040, GETKEY 0048, WAITMS 0050, BUZZ 0058, GLYPH 0060. The clock is 2.5 MHz: a millisecond is 2,500 T.

SEGS    EQU 20H         ; out: segments, bit 0 = a ... 6 = g, 7 = point, 1 = lit
DIGIT   EQU 21H         ; out: digit select, bit 0 = leftmost digit; also selects a column of keys
SPKR    EQU 22H         ; out: bit 0 moves the cone
ROWS    EQU 23H         ; in:  keys of the selected column, bit 0 to 2
NOKEY   EQU 0FFH

STACK   EQU 4800H       ; first byte behind RAM
PROG    EQU 4000H       ; where programs are keyed in
BUFFER  EQU 4700H       ; one byte of segments for each digit, left to right
HOOK    EQU 4710H       ; address of the interrupt handler
PLACE   EQU 4712H       ; address that the desk shows
FIELD   EQU 4714H       ; 0: keys go to the address, 1: to the byte

        ORG 0000H
RESET:  DI
        LD SP,STACK
        IM 1
        JR START

; A restart that no one uses leads back to the desk, as a program's last RET does.
        ORG 0008H
        JP BACK
        ORG 0010H
        JP BACK
        ORG 0018H
        JP BACK
        ORG 0020H
        JP BACK
        ORG 0028H
        JP BACK
        ORG 0030H
        JP BACK

; The timer's interrupt goes on to the handler whose address stands in HOOK. 56 T, no register changed.
        ORG 0038H
TICK:   PUSH HL
        LD HL,(HOOK)
        EX (SP),HL
        RET

        ORG 0040H
PAINT:  JP SWEEP
        ORG 0048H
GETKEY: JP WAITKEY
        ORG 0050H
WAITMS: JP MSWAIT
        ORG 0058H
BUZZ:   JP TONE
        ORG 0060H
GLYPH:  JP SIGN

        ORG 0066H
NMI:    RETN

; ---------------------------------------------------------------- the desk
; Shows an address (four digits), a gap, and the byte that stands there (two digits); the point marks the field that the
; keys 0 to F go to. PLACE and BYTE choose the field, NEXT and BACK step the address, RUN jumps to it.

START:  LD HL,IGNORE
        LD (HOOK),HL
        LD HL,PROG
        LD (PLACE),HL
        XOR A
        LD (FIELD),A
BACK:   DI
        IM 1
        LD SP,STACK
DESK:   CALL SHOW
        CALL WAITKEY
        CP 10H
        JR C,FIGURE
        LD HL,(PLACE)
        SUB 10H
        JR Z,CHOOSE     ; PLACE: A = 0
        DEC A
        JR Z,TOBYTE
        DEC A
        JR Z,DOWN
        DEC A
        JR Z,UP
        DEC A
        JR Z,GO
        JR DESK         ; LEFT, RIGHT and STOP are the program's

TOBYTE: INC A
CHOOSE: LD (FIELD),A
        JR DESK
DOWN:   DEC HL
        JR KEEP
UP:     INC HL
KEEP:   LD (PLACE),HL
        JR DESK
GO:     LD DE,BACK
        PUSH DE
        JP (HL)

FIGURE: LD D,A
        LD A,(FIELD)
        OR A
        LD HL,(PLACE)
        JR NZ,FIGBYT
        ADD HL,HL
        ADD HL,HL
        ADD HL,HL
        ADD HL,HL
        LD A,L
        OR D
        LD L,A
        JR KEEP
FIGBYT: LD A,(HL)
        ADD A,A
        ADD A,A
        ADD A,A
        ADD A,A
        OR D
        LD (HL),A
        JR DESK

SHOW:   LD DE,BUFFER
        LD A,(PLACE+1)
        CALL TWO
        LD A,(PLACE)
        CALL TWO
        XOR A
        LD (DE),A
        INC DE
        LD (DE),A
        INC DE
        LD HL,(PLACE)
        LD A,(HL)
        CALL TWO
        LD A,(FIELD)
        OR A
        LD HL,BUFFER+3
        JR Z,MARK
        LD HL,BUFFER+7
MARK:   SET 7,(HL)
        RET

; A as two signs to DE and on.
TWO:    PUSH AF
        RRCA
        RRCA
        RRCA
        RRCA
        CALL ONE
        POP AF
ONE:    CALL SIGN
        LD (DE),A
        INC DE
        RET

; Where HOOK points until a program puts its own handler there.
IGNORE: EI
        RET

; ---------------------------------------------------------------- PAINT
; One sweep over the digits from left to right: exactly 20,000 T from CALL to the instruction after it, 2,492 T a
; digit. The segments are dark before the next digit is selected, and dark at the end. Changes AF, BC, HL.

SWEEP:  LD HL,BUFFER
        LD C,1
SWNEXT: LD A,0          ; not XOR A: the sum below needs 7 T
        OUT (SEGS),A
        LD A,C
        OUT (DIGIT),A
        LD A,(HL)
        OUT (SEGS),A
        INC HL
        LD B,185
        DJNZ $
        NOP
        NOP
        SLA C           ; the bit falls out after the eighth digit
        JR NZ,SWNEXT
        XOR A
        OUT (SEGS),A
        RET

; ---------------------------------------------------------------- GETKEY
; Sweeps until all keys are up, then until one is found down in two sweeps in turn: A = its number, row by row,
; 8 x row + column. Sweeps last 8 ms, so a contact may bounce for up to 5 ms. Changes AF, BC, HL.

WAITKEY:
        PUSH DE
WKUP:   CALL SCAN
        INC A           ; NOKEY becomes 0
        JR NZ,WKUP
WKDOWN: CALL SCAN
        LD E,A
        INC A
        JR Z,WKDOWN
        PUSH DE
        CALL SCAN
        POP DE
        CP E
        JR NZ,WKDOWN
        POP DE
        RET

; A sweep that looks at the keys of each column while its digit is lit: A = the first one down, or NOKEY.
; Changes AF, BC, DE, HL.
SCAN:   LD HL,BUFFER
        LD C,1
        LD DE,0FF00H    ; D: the key found, E: the column
SCNEXT: XOR A
        OUT (SEGS),A
        LD A,C
        OUT (DIGIT),A
        LD A,(HL)
        OUT (SEGS),A
        INC HL
        LD B,180
        DJNZ $
        IN A,(ROWS)
        AND 07H
        JR Z,SCSKIP
        BIT 7,D
        JR Z,SCSKIP     ; one is found already
        LD D,E
SCROW:  RRCA
        JR C,SCSKIP
        SET 3,D         ; row 1
        RRCA
        JR C,SCSKIP
        LD A,D          ; row 2
        ADD A,8
        LD D,A
SCSKIP: INC E
        SLA C
        JR NZ,SCNEXT
        XOR A
        OUT (SEGS),A
        LD A,D
        RET

; ---------------------------------------------------------------- WAITMS
; BC milliseconds: exactly 2,500 x BC T from CALL to the instruction after it. BC = 0 returns at once.
; Changes AF, BC.

MSWAIT: LD A,B
        OR C
        RET Z
        LD A,0          ; 7 T, so that the first millisecond is 64 T = 4 rounds shorter
        LD A,150
        JR MSROUND
MSNEXT: LD A,154
MSROUND:
        DEC A
        JR NZ,MSROUND   ; 16 T a round
        NOP
        NOP
        DEC BC
        LD A,B
        OR C
        JR NZ,MSNEXT
        RET

; ---------------------------------------------------------------- BUZZ
; HL whole waves (1 to 32767; 0 returns at once), half a wave lasts exactly 26 x DE T (DE from 4). Leaves the cone at 0.
; Changes AF, BC, DE, HL.

TONE:   ADD HL,HL       ; halves of a wave, an even number: L is odd after DEC when the cone must be at 1
        LD A,H
        OR L
        RET Z
        DEC DE          ; the rest of the loop takes as long as three rounds of the delay
        DEC DE
        DEC DE
TNEXT:  DEC HL
        LD A,L
        AND 1
        OUT (SPKR),A
        LD B,D
        LD C,E
TDELAY: DEC BC
        LD A,B
        OR C
        JR NZ,TDELAY
        JR TEVEN        ; 12 + 4 + 4 + 7 T make the sum come out even
TEVEN:  NOP
        NOP
        LD A,0
        LD A,H
        OR L
        JR NZ,TNEXT
        RET

; ---------------------------------------------------------------- GLYPH
; A = the segments of the low nibble of A. Changes AF, HL.

SIGN:   AND 0FH
        LD HL,SIGNS
        ADD A,L
        LD L,A
        LD A,(HL)
        RET

        ORG 01F0H       ; sixteen bytes in one page: the sum above has no carry
SIGNS:  DB 3FH,06H,5BH,4FH,66H,6DH,7DH,07H
        DB 7FH,6FH,77H,7CH,39H,5EH,79H,71H
