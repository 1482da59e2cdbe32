; Cause: the halves of the addresses stand in the wrong order: 0046h and 0146h instead of 4600h and 4601h.
        LD A,37h
        DB 32h,46h,00h
        LD A,73h
        DB 32h,46h,01h
        HALT
