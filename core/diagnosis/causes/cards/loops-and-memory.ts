import type { ConceptCard } from '../cause.ts'

/** Cards about loops, counts, addresses and ends. */
export const loopAndMemoryCards = {
  'counter-reloaded': {
    title: 'Load once, count often',
    text: 'What is to be done once stands before the loop, what is to be done in each round inside. A counter that is loaded inside begins anew in each round and never reaches 0. Look where the label stands: the jump goes back to it.',
    example: 'LD D,10 / LOOP: … / DEC D / JR NZ,LOOP. With LOOP before the LD it never ends.',
  },
  'counter-not-reloaded': {
    title: 'A loop inside a loop',
    text: 'When an inner loop has ended its counter is 0. Entered again without a new load it counts down from 0, which is 256 rounds. Load the inner counter inside the outer loop, before the inner one.',
    example: 'OUTER: LD B,8 / INNER: … / DJNZ INNER / DEC C / JR NZ,OUTER.',
  },
  'pointer-not-reset': {
    title: 'Back to the first byte',
    text: 'A pointer that goes through a table ends behind its last byte. Before the table is used again the pointer has to go back to the first. For a table at the end of a page watch the low byte; or load the pointer anew each time.',
    example: 'Eight digits at 4700h: after INC L, when the eighth is done, LD L,0.',
  },
  'count-zero': {
    title: 'A count of 0',
    text: 'DJNZ and the block instructions count down first and test then. A count of 0 becomes FFh or FFFFh, which is 256 or 65,536 rounds. If the count can be 0, test it before the loop.',
    example: 'INC B / DEC B / JR Z,DONE tests B and leaves it. LD A,B / OR C / RET Z does it for BC.',
  },
  'count-off-by-one': {
    title: 'How often does it run?',
    text: 'A loop that ends with DJNZ runs as often as B said before it. Write down the first and the last round: what is the pointer, what is the counter? From place a to place b, both included, there are b − a + 1 places; n steps join n + 1 notes.',
    example: 'Bytes 4600h to 460Fh are 0Fh + 1 = 16 bytes: LD B,16.',
  },
  'counted-from-one': {
    title: 'The first place is 0',
    text: 'An address is start + place, so the first of n bytes has place 0 and the last n − 1. A place that is counted from 1 comes out one too high. Decide which of the two the task wants, and check it with the first byte.',
    example: 'Sixteen bytes from 4600h: the byte at 4600h has place 00h, the last has 0Fh.',
  },
  'limit-not-tested': {
    title: 'At the edge',
    text: 'Values in the middle are seldom wrong. Try the smallest, the largest, and one beyond each. A counter that begins anew at a limit has to be compared with it after each step; an input that may be out of range has to be looked at before it is used.',
    example: 'After 59 seconds comes 00: ADD A,1 / DAA / CP 60h / JR NZ,STORE / XOR A.',
  },
  'endless-loop': {
    title: 'What ends a loop',
    text: 'A loop ends when its jump back is not taken once. Find that jump, the flag it looks at, and the instruction that sets the flag. Does that value change in each round, and does it ever meet the condition? If nothing in the loop changes it, it never ends.',
    example: 'LOOP: CALL X / DJNZ LOOP never ends if X sets B to the same value each time.',
  },
  'pause-missing': {
    title: 'How long a round takes',
    text: 'A port takes a byte whenever it is written, some hundred thousand times a second in a short loop; eyes and ears want far less. Between two changes the program has to wait: count the T-states of one round, and add a delay loop that makes up the rest. A loop that only has to wait for something to change may look every few milliseconds.',
    example:
      'LOOP: XOR 1 / OUT (22h),A / JR LOOP moves the speaker every 30 T. With LD B,94 / DJNZ $ in it, it is every 1,254 T: near 1 kHz.',
  },
  'value-and-contents': {
    title: 'The number, or what is stored there',
    text: 'Brackets mean memory: LD A,(4600h) takes the byte that stands at 4600h, LD HL,(4600h) two bytes from there. Without brackets the number itself is loaded. They are different operations with different codes.',
    example: 'If 4600h holds 12h, LD HL,4600h gives 4600h and LD A,(4600h) gives 12h.',
  },
  'address-off-by-one': {
    title: 'Start + n − 1',
    text: 'The first of n bytes stands at the start itself, the last at start + n − 1; start + n is already behind it. With a pointer ask whether it has been moved before or after the byte is taken.',
    example: '16 bytes from 4600h end at 460Fh. LDDR over them begins with HL = 460Fh.',
  },
  'source-and-target-swapped': {
    title: 'From where to where',
    text: 'LD writes what stands behind the comma into what stands before it. LDIR and LDDR copy from the address in HL to the address in DE. Swapped, good data are overwritten with what was in the target.',
    example: 'LD HL,TABLE / LD DE,4700h / LD BC,8 / LDIR copies the table to 4700h.',
  },
  'copy-direction': {
    title: 'Areas that overlap',
    text: 'LDIR begins at the lowest address and counts up, LDDR begins at the highest and counts down. When source and target overlap, a byte may be overwritten before it was copied. Moving up: begin at the end with LDDR. Moving down: begin at the start with LDIR.',
    example: '01 02 03 copied one place up with LDIR gives 01 01 01 01; with LDDR 01 01 02 03.',
  },
  'overwritten-before-read': {
    title: 'Read before you write',
    text: 'A store replaces what stood there. When two places are exchanged, or an area is moved, keep the first value in a register until its new place is free.',
    example: 'LD A,(4600h) / LD B,A / LD A,(460Fh) / LD (4600h),A / LD A,B / LD (460Fh),A.',
  },
  'word-for-byte': {
    title: 'One byte or two',
    text: 'LD (nn),HL and LD HL,(nn) move two bytes: L at nn, H at nn + 1. To move a single byte go through A, or use a pointer in HL and one of its byte instructions. The second byte of a word store falls on the neighbour.',
    example: 'LD (460Fh),HL writes 460Fh and 4610h.',
  },
  'result-not-stored': {
    title: 'A result has to go somewhere',
    text: 'What is worked out in a register is lost as soon as the register is used for something else. Store it where the task wants it, or compare it, before you go on. What a routine gives in A has to be taken right behind the CALL.',
    example: 'CALL 0060h gives segments in A; LD (4707h),A stores them before A is needed again.',
  },
  'stray-write': {
    title: 'Only what was asked for',
    text: 'Other programs keep their data in RAM too. A store to any other place than those the task names may destroy them. Look at the address in each store and at the pointer after its last round: does one store too many follow?',
    example: 'HL = 4601h / LD (HL),73h / INC HL / LD (HL),73h writes 4602h as well.',
  },
  'writes-own-code': {
    title: 'Program and data in one memory',
    text: 'The processor does not tell program from data. A store into the program changes it while it runs, and it may work the first time and never again. Keep data behind the last instruction or in another area, and watch where pointers end.',
    example: 'A program at 4000h of 30h bytes ends at 402Fh: data from 4600h on are safe.',
  },
  'wrong-data': {
    title: 'Working out a table',
    text: 'A table is part of the program that no instruction checks. Work out each value from its meaning: segments by their bits, notes by their half wave, addresses low byte first. Then check one value by a second way.',
    example: 'P needs segments a, b, e, f, g: 01h + 02h + 10h + 20h + 40h = 73h.',
  },
  'not-movable': {
    title: 'Code for any place',
    text: 'JP, CALL and LD with an address of the program itself fit one place only. JR and DJNZ hold a distance and move along. Addresses of the firmware and of data outside stay as they are.',
    example:
      'JP 4006h inside a program at 4000h is wrong when it stands at 4100h. JR to the same label is right at both.',
  },
  'no-end': {
    title: 'Every program needs its end',
    text: 'Behind the last instruction the processor goes on with whatever stands in memory. HALT stops it; RET gives control back to the caller. Data behind the program would be executed too.',
    example: 'LD A,05h / HALT: without 76 the byte behind 05 is the next instruction.',
  },
  'wrong-end': {
    title: 'HALT or RET',
    text: 'HALT stops the processor until an interrupt or reset. RET takes an address from the stack and goes there: the end of a routine that was called. A program that nobody called has no address on the stack.',
    example: 'A routine called by the grader ends with C9 (RET). With 76 (HALT) the caller waits for ever.',
  },
  'left-program': {
    title: 'Where a jump leads',
    text: 'A jump changes only PC; the processor executes whatever stands at the target. A wrong displacement, a wrong address, or a RET with the wrong bytes on the stack lead out of the program. The trace shows the last instruction inside it.',
    example: '10 76 jumps 76h bytes on if B is not 0, far behind a program of eight bytes.',
  },
} as const satisfies Readonly<Record<string, ConceptCard>>
