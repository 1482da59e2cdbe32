; Recursion, decimal arithmetic, CRC, rotates, digits, exchanges, 16-bit arithmetic. ROUNDS at 4000H and 4001H.
        ORG 0100H
START:  LD SP,8000H
        LD A,11
        CALL FIB
        LD (4002H),HL
        LD IX,4100H         ; twenty decimal additions of eight digits
        LD IY,4110H
        LD (IX+0),25H
        LD (IX+1),17H
        LD (IX+2),83H
        LD (IX+3),09H
        LD C,20
DECIMAL:LD B,4
        PUSH IX
        PUSH IY
        OR A
DIGITS: LD A,(IX+0)
        ADC A,(IY+0)
        DAA
        LD (IY+0),A
        INC IX
        INC IY
        DJNZ DIGITS
        POP IY
        POP IX
        DEC C
        JR NZ,DECIMAL
        LD HL,0100H         ; CRC-16 over 64 bytes of this program
        LD DE,0FFFFH
        LD C,64
CRC:    LD A,(HL)
        XOR D
        LD D,A
        LD B,8
BIT1:   SLA E
        RL D
        JR NC,BIT0
        LD A,D
        XOR 10H
        LD D,A
        LD A,E
        XOR 21H
        LD E,A
BIT0:   DJNZ BIT1
        INC HL
        DEC C
        JR NZ,CRC
        LD (4004H),DE
        LD HL,4120H         ; digits through a row of bytes
        LD B,16
        LD A,5
ROLL:   RLD
        INC HL
        DJNZ ROLL
        LD B,16
UNROLL: DEC HL
        RRD
        DJNZ UNROLL
        EXX                 ; 16-bit arithmetic in the second set
        LD HL,1234H
        LD DE,0777H
        LD B,50
WORDS:  ADC HL,DE
        EX DE,HL
        SBC HL,DE
        SRL D
        RR E
        BIT 3,E
        JR Z,EVEN
        SET 6,H
        JR ODD
EVEN:   RES 1,L
ODD:    EX AF,AF'
        INC A
        CP 77H
        EX AF,AF'
        DJNZ WORDS
        LD (4006H),HL
        EXX
        LD HL,4000H
        DEC (HL)
        JP NZ,START
        INC HL
        DEC (HL)
        JP NZ,START
        HALT
FIB:    CP 2                ; HL = fib(A)
        JR NC,DEEPER
        LD L,A
        LD H,0
        RET
DEEPER: DEC A
        PUSH AF
        CALL FIB
        POP AF
        PUSH HL
        DEC A
        CALL FIB
        POP DE
        ADD HL,DE
        RET
