        LD HL,(4600h)
        LD DE,0100h
        LD A,H
        OR L
        JR Z,ZERO
        LD A,H
        CP 80h
        JR NZ,PUT
        LD A,L
        CP 7Fh
        JR NZ,PUT
        LD DE,00FFh
        JR PUT
ZERO:   LD D,0
PUT:    LD (4602h),DE
        HALT
