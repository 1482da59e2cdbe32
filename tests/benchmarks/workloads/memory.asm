; Sieve of Eratosthenes over 4 KB, block moves both ways, 16-bit counters. ROUNDS at 4000H tells how often.
        ORG 0100H
SIEVE   EQU 5000H
COPY    EQU 6000H
SIZE    EQU 4096
START:  LD SP,8000H
        LD HL,SIEVE
        LD (HL),1
        LD DE,SIEVE+1
        LD BC,SIZE-1
        LDIR
        LD DE,2             ; the number whose multiples are struck out
NEXT:   LD HL,SIEVE
        ADD HL,DE
        LD A,(HL)
        OR A
        JR Z,PASS
        LD B,D
        LD C,E
STRIKE: ADD HL,DE
        LD A,H
        CP 60H
        JR NC,PASS
        LD (HL),0
        JP STRIKE
PASS:   INC DE
        LD A,E
        CP 64
        JR NZ,NEXT
        LD HL,SIEVE         ; count what is left
        LD BC,SIZE
        LD IX,0
COUNT:  LD A,(HL)
        OR A
        JR Z,NONE
        INC IX
NONE:   INC HL
        DEC BC
        LD A,B
        OR C
        JR NZ,COUNT
        LD (4002H),IX
        LD HL,SIEVE         ; copy up, then shift one byte down the other way
        LD DE,COPY
        LD BC,SIZE
        LDIR
        LD HL,COPY+SIZE-2
        LD DE,COPY+SIZE-1
        LD BC,SIZE-1
        LDDR
        LD HL,COPY          ; a checksum over the copy
        LD BC,SIZE
        LD DE,0
SUM:    LD A,(HL)
        ADD A,E
        LD E,A
        LD A,D
        ADC A,0
        RLCA
        LD D,A
        INC HL
        DEC BC
        LD A,B
        OR C
        JP NZ,SUM
        LD (4004H),DE
        LD HL,4000H
        DEC (HL)
        JP NZ,START
        HALT
