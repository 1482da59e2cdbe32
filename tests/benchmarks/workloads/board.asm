; What programs on a trainer board do: tones, a multiplexed display, a key row, waiting. ROUNDS at 4000H and 4001H.
        ORG 0100H
SEGMENT EQU 10H
SELECT  EQU 11H
SPEAKER EQU 12H
KEYS    EQU 13H
START:  LD SP,8000H
        LD C,30             ; a tone: thirty edges
        XOR A
TONE:   XOR 80H
        OUT (SPEAKER),A
        LD B,90
HALF:   DJNZ HALF
        DEC C
        JR NZ,TONE
        LD D,4              ; four sweeps over six digits
SWEEP:  LD HL,DIGITS
        LD E,20H
DIGIT:  LD A,(HL)
        OUT (SEGMENT),A
        LD A,E
        OUT (SELECT),A
        LD B,60
LIT:    DJNZ LIT
        XOR A
        OUT (SELECT),A
        IN A,(KEYS)
        CPL
        OR A
        JR Z,NOKEY
        LD (4002H),A
NOKEY:  INC HL
        SRL E
        JR NZ,DIGIT
        DEC D
        JR NZ,SWEEP
        LD BC,500           ; a pause
PAUSE:  DEC BC
        LD A,B
        OR C
        JR NZ,PAUSE
        LD HL,DIGITS        ; count the display on in decimal places
        LD A,(HL)
        RRCA
        LD (HL),A
        LD HL,4000H
        DEC (HL)
        JP NZ,START
        INC HL
        DEC (HL)
        JP NZ,START
        HALT
DIGITS: DEFB 3FH,06H,5BH,4FH,66H,6DH
