; Two-byte mileage: 16 + 20 + 11 + 16 + 4 = 67 T, 12 bytes.
        ORG 4000h
        LD HL,(4600h)
        LD DE,(4602h)
        ADD HL,DE
        LD (4604h),HL
        HALT
