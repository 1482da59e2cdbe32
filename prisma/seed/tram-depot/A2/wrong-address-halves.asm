        LD A,37h
        DB 32h,46h,00h
        LD A,73h
        DB 32h,46h,01h
        HALT
