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
PLACE   EQU 4712H       ; address of the byte that is keyed
FROM    EQU 4714H       ; address at which RUN starts
STATE   EQU 4716H       ; what the keys do now
HELD    EQU 4717H       ; first figure of a byte; while an address is keyed, which figure is next: 0 to 3
MARK    EQU 4718H       ; where AT led last
TYPED   EQU 471AH       ; address as it stands while it is keyed

; What STATE holds.
TAPE    EQU 0           ; a byte is keyed; none of its figures is there yet
HALF    EQU 1           ; its first figure is there
GOING   EQU 2           ; AT: an address is keyed
STARTS  EQU 3           ; RUN: an address is keyed
SUMMED  EQU 4           ; CHECK: the check bytes are shown
AWAY    EQU 5           ; a program has the board

KAT     EQU 10H         ; number of the key AT; behind it INSERT, REMOVE, CHECK, RUN, LEFT, RIGHT and STOP
KRUN    EQU 14H
KSTOP   EQU 17H

        ORG 0000H
RESET:  DI
        LD SP,STACK
        IM 1
        JR START

; A restart that no one uses leads back to the monitor, as a program's last RET does.
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

; ---------------------------------------------------------------- the monitor
; Memory is a tape of bytes. The digits show, in pairs, the byte before, the byte here, the byte after, and the last two
; figures of this place. The point stands at the figure that the next key fills. The second figure of a byte writes it and
; moves on to the next; a byte of which one figure is there stands with a _ and is not written.

START:  LD HL,IGNORE
        LD (HOOK),HL
        LD HL,PROG
        LD (PLACE),HL
        LD (FROM),HL
        LD (MARK),HL
BACK:   DI
        IM 1
        LD SP,STACK
FRESH:  XOR A           ; TAPE: what was begun is dropped
ENTER:  LD (STATE),A
        CALL SHOW
ASK:    CALL WAITKEY
        CP KAT
        JR C,FIGURE
        LD HL,(PLACE)
        SUB KAT
        JP Z,GOTO
        DEC A
        JR Z,ROOM
        DEC A
        JR Z,TAKE
        DEC A
        JR Z,SUMS
        DEC A
        JP Z,RUN
        DEC A
        JR Z,LEFT
        DEC A
        JR NZ,FRESH     ; STOP
RIGHT:  INC HL
MOVE:   LD (PLACE),HL
        JR FRESH
LEFT:   LD A,(STATE)
        CP HALF
        JR Z,FRESH      ; to the byte's first figure
        DEC HL
        JR MOVE

FIGURE: LD D,A
        LD A,(STATE)
        CP HALF
        JR Z,SECOND
        LD A,D
        LD (HELD),A
        LD A,HALF
        JR ENTER
SECOND: LD A,(HELD)
        ADD A,A
        ADD A,A
        ADD A,A
        ADD A,A
        OR D
        LD HL,(PLACE)
        LD (HL),A
        CP (HL)
        JR Z,RIGHT
        JR FRESH        ; ROM, or nothing there: it stays where it is

; INSERT: from here to the end of the page every byte moves one place on, and a 00 stands here.
ROOM:   CALL REST
        JR Z,HOLE
        LD DE,0FFH
        LD D,H
        LD L,0FEH
        LDDR
        EX DE,HL
HOLE:   LD (HL),0
        JP FRESH

; REMOVE: from behind here to the end of the page every byte moves one place back, and a 00 comes in at the end.
TAKE:   CALL REST
        JR Z,HOLE
        LD D,H
        LD E,L
        INC HL
        LDIR
        EX DE,HL
        JR HOLE

; BC = bytes behind HL in its page, Z for none. The page with the digits, these variables and the stack stays as it is:
; there it does not return.
REST:   LD A,H
        CP 47H
        JR Z,STAYS
        LD A,L
        CPL
        LD C,A
        LD B,0
        OR A
        RET
STAYS:  POP BC
        JP FRESH

; CHECK: S and W of the line up to the byte before here, and the place. A line begins where the address ends in 0 or 8, or
; where AT led. Taken from its end, W is the sum of all that S is on the way.
SUMS:   LD DE,0         ; D: S, E: W
        LD BC,(MARK)
ADDING: DEC HL
        LD A,(HL)
        ADD A,D
        LD D,A
        ADD A,E
        LD E,A
        LD A,L
        AND 07H
        JR Z,ADDED
        LD A,L
        CP C
        JR NZ,ADDING
        LD A,H
        CP B
        JR NZ,ADDING
ADDED:  LD A,SUMMED
        LD (STATE),A
        LD B,D
        LD C,E
        LD DE,BUFFER
        LD A,B
        CALL TWO
        CALL DASH
        LD A,C
        CALL TWO
        CALL DASH
        LD A,(PLACE)
        CALL TWO
        JP ASK

DASH:   LD A,40H
        LD (DE),A
        INC DE
        RET

; AT and RUN: four figures, each replaced in its turn. AT leads there with the fourth, or as they stand when AT is pressed
; again; RUN starts there when RUN is pressed again. STOP leaves all as it was, no other key does anything.
GOTO:   LD A,GOING
        JR ADDR
RUN:    LD HL,(FROM)
        LD A,STARTS
ADDR:   LD (STATE),A
        LD (TYPED),HL
        XOR A
NTH:    LD (HELD),A
ADRASK: LD HL,ATSIGN
        LD A,(STATE)
        CP GOING
        JR Z,NAMED
        LD HL,RUNSGN
NAMED:  LD DE,BUFFER
        LD BC,4
        LDIR
        LD A,(TYPED+1)
        CALL TWO
        LD A,(TYPED)
        CALL TWO
        LD HL,BUFFER+4
        LD A,(HELD)
        ADD A,L
        LD L,A
        SET 7,(HL)
        CALL WAITKEY
        CP KSTOP
        JP Z,FRESH
        LD C,A
        CP KAT
        JR C,ADRFIG
        LD HL,(TYPED)
        LD A,(STATE)
        CP GOING
        LD A,C
        JR NZ,ADRRUN
        CP KAT
        JR NZ,ADRASK
ARRIVE: LD (MARK),HL
        JP MOVE
ADRRUN: CP KRUN
        JR NZ,ADRASK
        LD (FROM),HL
        LD A,AWAY
        LD (STATE),A
        XOR A
        LD (HELD),A
        LD DE,BACK
        PUSH DE
        JP (HL)

ADRFIG: LD HL,TYPED+1
        LD A,(HELD)
        CP 2
        JR C,ADRBYT
        DEC HL          ; the third and fourth stand in the low byte
ADRBYT: RRCA
        LD A,(HL)
        JR C,ADRLOW
        AND 0FH
        RLC C
        RLC C
        RLC C
        RLC C
        JR ADRPUT
ADRLOW: AND 0F0H
ADRPUT: OR C
        LD (HL),A
        LD A,(HELD)
        INC A
        AND 03H
        JP NZ,NTH
        LD HL,(TYPED)
        LD A,(STATE)
        CP GOING
        JR Z,ARRIVE
        XOR A
        JP NTH

ATSIGN: DB 77H,78H,0,0          ; At
RUNSGN: DB 50H,1CH,54H,0        ; run

; The tape in the buffer.
SHOW:   LD HL,(PLACE)
        DEC HL
        LD DE,BUFFER
        CALL CELL
        CALL CELL
        CALL CELL
        LD A,(PLACE)
        CALL TWO
        LD HL,BUFFER+2
        LD A,(STATE)
        CP HALF
        JR NZ,POINT
        LD A,(HELD)
        CALL SIGN
        LD HL,BUFFER+2
        LD (HL),A
        INC HL
        LD (HL),08H     ; _
POINT:  SET 7,(HL)
        RET

; The byte at HL as two signs to DE and on; HL = the place behind it.
CELL:   LD A,(HL)
        INC HL
        PUSH HL
        CALL TWO
        POP HL
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

        ORG 0300H       ; sixteen bytes in one page: the sum above has no carry
SIGNS:  DB 3FH,06H,5BH,4FH,66H,6DH,7DH,07H
        DB 7FH,6FH,77H,7CH,39H,5EH,79H,71H
