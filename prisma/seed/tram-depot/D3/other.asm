; Siren without the firmware: half a wave takes 13 x (E + 4) T. Each takes E away from HL, and when HL has run out the note
; is about 50 ms long. C: level of the speaker. The last note is known by its length.
        ORG 4000h
        LD IX,NOTES
        LD C,0
        LD D,C
NOTE:   LD E,(IX+0)
        INC IX
        LD HL,9375
HALF:   LD A,C
        XOR 1           ; resets the carry too
        LD C,A
        OUT (22h),A
        LD B,E
WAIT:   DJNZ WAIT
        SBC HL,DE
        JR NC,HALF
        LD A,E
        CP 116
        JR NZ,NOTE
        XOR A
        OUT (22h),A
        HALT
NOTES:  DB 236,226,215,205,196,187,178,170
        DB 162,155,147,141,134,128,122,116
