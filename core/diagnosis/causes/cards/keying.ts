import type { ConceptCard } from '../cause.ts'

/** Cards about bytes, digits, words and jumps. */
export const keyingCards = {
  'mistyped-digit': {
    title: 'One digit of a byte',
    text: 'A byte is two hexadecimal digits, and each decides four bits. Digits that look alike (8 and B, 6 and b, D and 0) or stand side by side on the keypad are taken for each other easily. Check bytes find such a slip: add up the bytes of a line and compare with the sheet.',
    example: '06 keyed as 0B turns LD B,03h (06 03) into DEC BC and INC BC (0B 03).',
  },
  'neighbours-swapped': {
    title: 'Order on the keying sheet',
    text: 'Two bytes in each other’s place leave a plain sum of the line as it was. A sum in which each byte is multiplied by its place (W on the sheet) changes. Read back what you keyed from memory, byte by byte, with a finger on the sheet.',
    example:
      '10 FD is DJNZ three bytes back. FD 10 is a prefix without effect, and 10 then takes the byte behind as its displacement.',
  },
  'byte-missing': {
    title: 'A byte left out',
    text: 'The processor does not know where an instruction begins: it takes one operation, then its operands, then the next operation. With one byte left out, every byte behind it moves up and becomes something else. The first wrong address in memory tells where it was.',
    example: '3E 05 06 03 without the 05 is 3E 06 (LD A,06h) and 03 (INC BC).',
  },
  'byte-extra': {
    title: 'A byte too many',
    text: 'A byte keyed twice moves everything behind it one place up. Jumps by distance still count the old number of bytes, and operands become operations. Compare addresses with the listing: the first line whose address differs stands behind the extra byte.',
    example: '3E 05 05 76 is LD A,05h, DEC B, HALT instead of LD A,05h, HALT.',
  },
  'decimal-and-hex': {
    title: 'Decimal or hexadecimal',
    text: 'The keypad and the bytes in memory are hexadecimal. In assembly a number is decimal unless it ends in h. The same digits mean another number in the other base: 10h is sixteen. To convert, divide by 16: quotient and remainder are the two digits.',
    example: 'A count of 100 is 64h, since 100 = 6 × 16 + 4. Keyed as 100 without thought, 10h would be 16.',
  },
  'bytes-in-wrong-order': {
    title: 'Low byte first',
    text: 'Words stand in memory with the low byte at the lower address: as operands behind an operation, as data, on the stack. When you add words byte by byte begin with the low bytes too, since their carry belongs into the high ones.',
    example: 'LD (4600h),A is 32 00 46. With HL = 1C2Ch, LD (4604h),HL puts 2C at 4604h and 1C at 4605h.',
  },
  'displacement-off': {
    title: 'Displacement of a relative jump',
    text: 'A relative jump counts from the address behind itself, because the processor has read both its bytes by then. Displacement = target − (address of the jump + 2), between −128 and 127. One too many or few lands inside another instruction.',
    example: 'At 4010h to 4004h: 4004h − 4012h = −0Eh, written 100h − 0Eh = F2h.',
  },
  'displacement-from-opcode': {
    title: 'Where a displacement counts from',
    text: 'A relative jump has two bytes. When it jumps, the processor has already gone on to the instruction behind it, so the distance counts from there: address of the jump + 2. Counted from the jump itself it comes out two too large.',
    example: 'At 4020h to 4030h: 4030h − 4022h = 0Eh, not 10h.',
  },
  'displacement-sign': {
    title: 'Jumping back',
    text: 'A displacement is a byte with sign: 00h to 7Fh jump on, 80h to FFh jump back. A jump back by n is written as 100h − n. The size alone would jump on by as much.',
    example: 'Fourteen bytes back: 100h − 0Eh = F2h. 0Eh itself would jump fourteen bytes on.',
  },
  'jump-for-call': {
    title: 'CALL and JP',
    text: 'CALL puts the address behind it on the stack and jumps; RET takes that address and goes there. JP only jumps. A routine entered with JP finds something else on the stack when it returns; code entered with CALL that never returns leaves two bytes there each time.',
    example: 'CALL 0040h at 4003h pushes 4006h, and the routine’s RET comes back to 4006h.',
  },
  'condition-flipped': {
    title: 'Which way a condition goes',
    text: 'A conditional jump is taken when its condition holds; otherwise execution goes on behind it. Say it aloud: “if not zero, go back”. Where the answer is a flag, settle first what set means, and set it on the one way and reset it on the other.',
    example: 'DEC B / JR NZ,LOOP goes back while B is not 0. JR Z,LOOP would go back only when B has become 0.',
  },
  'equal-case': {
    title: 'Less, equal, more',
    text: 'CP n takes n from A and keeps only the flags. Carry: A is less. Z: equal. Neither: A is more. JR C jumps for less only, JR NC for equal and more. Decide where “equal” has to go, and try that case by itself.',
    example: 'Largest so far in A: CP (HL) / JR NC,KEEP keeps the old one when both are equal.',
  },
  'signed-for-unsigned': {
    title: 'With or without sign',
    text: 'The same byte can be 0 to 255, or −128 to 127. For numbers without sign the carry tells “less” after CP. The sign flag is bit 7 of the difference and belongs to numbers with sign; JP M and JP P look at it.',
    example: 'A = 80h, CP 01h: no carry, 80h is more. JP M and JP P would call 80h a negative number.',
  },
} as const satisfies Readonly<Record<string, ConceptCard>>
