; Safe store. A record is: address (low, high), length, bytes, S, W. S is the sum of the bytes before it, W the sum of
; place times byte, places counted from 1. W needs no multiplication: from the last byte to the first, each byte is in all
; the sums so far as often as its place says.
        ORG 4000h
        OR A
        JR NZ,VERIFY
        EX DE,HL        ; HL: the record, DE: the bytes
        PUSH HL
        LD (HL),E
        INC HL
        LD (HL),D
        INC HL
        LD (HL),B
COPY:   INC HL
        LD A,(DE)
        LD (HL),A
        INC DE
        DJNZ COPY
        POP HL
        CALL SUMS
        LD (HL),C
        INC HL
        LD (HL),D
        RET

VERIFY: CALL SUMS
        RET C
        LD A,(HL)
        CP C
        JR NZ,FAULTY
        INC HL
        LD A,(HL)
        CP D
        RET Z           ; equal, so the carry is reset
FAULTY: SCF
        RET

; HL: a record. Gives C = S, D = W, HL behind the bytes that they cover; or carry set for a length that cannot be.
SUMS:   INC HL
        INC HL
        LD A,(HL)
        DEC A
        CP 32           ; 0 has become 255
        CCF
        RET C
        LD D,0
        LD C,D
        ADD A,2
        LD E,A          ; length + 1 from here to the first byte that is not covered
        ADD HL,DE
        ADD A,2
        LD B,A          ; length + 3 bytes are covered
        PUSH HL
SUM:    DEC HL
        LD A,C
        ADD A,(HL)
        LD C,A
        ADD A,D
        LD D,A
        DJNZ SUM
        POP HL
        OR A
        RET
