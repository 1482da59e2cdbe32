        LD HL,795Eh
        LD (4700h),HL
        LD HL,5C73h
        LD (4702h),HL
        LD HL,0078h
        LD (4704h),HL
        LD HL,074Fh
        LD (4706h),HL
        CALL PAINT
        HALT
