import type { ConceptCard } from '../cause.ts'

/** Cards about time, ports, interrupts, keys and the rules of a task. */
export const timeAndTaskCards = {
  'time-constant': {
    title: 'Time is rounds times T-states',
    text: 'Add up the T-states of one round, with the longer time for the jump that is taken. Rounds = time wanted × clock / T-states of a round. Then count what stands before and behind the loop. Half a wave, a pause, the number of sweeps: all go this way.',
    example:
      'DEC BC, LD A,B, OR C, JR NZ: 6 + 4 + 4 + 12 = 26 T. At 2.5 MHz half a second is 1,250,000 T: about 48,077 rounds.',
  },
  'jump-time': {
    title: 'A jump taken takes longer',
    text: 'JR with a condition takes 12 T-states when it jumps and 7 when it does not; DJNZ 13 and 8. In a loop it jumps in every round but the last, so the longer time counts. JP takes 10 either way.',
    example: 'LD B,100 / DJNZ to itself: 7 + 99 × 13 + 8 = 1,302 T, not 100 × 8.',
  },
  'waves-for-edges': {
    title: 'Two edges make a wave',
    text: 'A speaker that goes up and down once has made one wave with two edges. A tone of f hertz has 2f edges a second, and half a wave lasts clock / (2f) T-states. Ask of each count whether it counts edges or waves.',
    example: '1000 Hz for 250 ms: 250 waves, 500 edges, each half 1,250 T at 2.5 MHz.',
  },
  'uneven-halves': {
    title: 'Both halves alike',
    text: 'A clean tone is as long at 1 as at 0. Each half needs its delay, and both ways through the loop the same T-states. A branch that takes longer on one side shows as jitter.',
    example: 'OUT, delay, change level, OUT, delay: with only one delay the wave is a short spike.',
  },
  'output-left-on': {
    title: 'Leave it as you found it',
    text: 'A port keeps its last value until the next OUT. At the end the speaker should be at 0 and no digit selected. Count the changes: from 0, an odd number of edges ends at 1. A digit left on glows much brighter than in the sweep.',
    example: 'XOR A / OUT (21h),A switches all digits off.',
  },
  ghosting: {
    title: 'Ghosts on the display',
    text: 'All digits share the segment lines. While one digit is on, a change of the segments shows on it. So switch the digit off, put out the new segments, then select the new digit; and keep the time between short.',
    example: 'XOR A / OUT (21h),A / LD A,(HL) / OUT (20h),A / LD A,E / OUT (21h),A.',
  },
  'sweep-too-slow': {
    title: 'How often is often enough',
    text: 'One digit is lit at a time. If every digit gets its turn at least 60 times a second the eye sees them stand still; below about 50 they flicker. Pauses, waiting and long work between sweeps lower that number. Do such work in small pieces, one a sweep.',
    example: 'Eight digits, 2 ms each: 16 ms, 62.5 sweeps a second. With a pause of 4 ms it is 50.',
  },
  'wrong-port': {
    title: 'Ports have numbers',
    text: 'OUT (n),A and IN A,(n) reach the device that is wired to number n. Memory addresses and ports are two different things. The board’s description says which bit of which port belongs to what.',
    example: 'On Bench-8: 20h segments, 21h digit select, 22h speaker (bit 0), 23h rows of the keypad.',
  },
  'ei-missing': {
    title: 'Enabling interrupts',
    text: 'After power-on interrupts are off until EI. When one is accepted the processor turns them off, so the handler ends with EI and RET: EI takes effect one instruction later, after the return. DI turns them off again.',
    example: 'TICK: PUSH AF / … / POP AF / EI / RET.',
  },
  'handler-not-installed': {
    title: 'Where an interrupt goes',
    text: 'In mode 1 the processor calls 0038h, in ROM. There the firmware goes on to the address that it finds in a hook in RAM. Put the address of your handler into the hook, low byte first, before you enable interrupts.',
    example: 'LD HL,TICK / LD (4710h),HL / EI.',
  },
  'handler-too-long': {
    title: 'A short handler',
    text: 'While a handler runs no other interrupt is accepted; one request can wait, a second one is lost. Do in the handler only what cannot wait: count, set a flag, leave. Sweeping, converting and waiting belong into the main loop.',
    example:
      'At 100 Hz and 2.5 MHz a tick comes each 25,000 T. A sweep of 20,000 T in the handler leaves nothing for the rest.',
  },
  'bounce-counted': {
    title: 'Contacts bounce',
    text: 'A contact makes and breaks many times within some milliseconds when it is pressed, and when it is let go. A program that looks often enough sees every bounce as a press. Look less often than it bounces long, or believe a change only after two equal looks.',
    example: 'Bounce of 5 ms, one look each 8 ms: at most one look falls into the bounce.',
  },
  'held-key-counted': {
    title: 'A press is a change',
    text: 'A key that is down at this look and was down at the last one is the same press. Remember the last look: a press is “up before, down now”. Or wait after each press until the key is up.',
    example: 'D = last look, E = now: LD A,E / XOR D / AND E is not 0 only for a new press.',
  },
  'forbidden-used': {
    title: 'What the task forbids',
    text: 'A task may forbid a routine or an instruction because that part is what it is about. The result may be right and the point missed. Read the rules of the task again and write that part yourself; reading the routine’s code in ROM is allowed.',
    example: 'A delay without the firmware: LD B,n / DJNZ to itself takes 13n + 2 T.',
  },
  'instruction-missing': {
    title: 'The way, not only the result',
    text: 'Some tasks ask for a certain instruction or a loop because you are to learn it. Eight stores written out give the right bytes, but for eighty bytes only a loop works. What counts is that the instruction is executed, not that it stands somewhere.',
    example: 'LD BC,8 / LDIR copies eight bytes. LD BC,80 copies eighty with the same size.',
  },
  'routine-not-called': {
    title: 'Nothing happens by itself',
    text: 'A routine of the firmware does its work only when it is called. Bytes in the digit buffer light nothing until a sweep puts them out; a key’s number is no glyph until it is turned into one. List the steps of the task and tick off who does each.',
    example: 'CALL 0048h (key) / CALL 0060h (segments) / LD (4707h),A / CALL 0040h (sweep).',
  },
  'fits-sheet-only': {
    title: 'Examples are not the task',
    text: 'The values on the sheet show what is meant; your program is tried with others too. A program that asks for the very values of the sheet knows the answers and not the way. Make up three cases of your own, work them out by hand, and try them.',
    example: 'For a sum try 00 + 00, FF + FF and two numbers of your own.',
  },
  'too-slow': {
    title: 'Where the time goes',
    text: 'What stands in the innermost loop counts as often as it runs. Keep values in registers instead of memory, move out what is the same in each round, and take the method that needs fewer rounds. Time per round × rounds is nearly all of it.',
    example: 'LD A,(nn) takes 13 T, LD A,(HL) 7, LD A,B 4. Over 255 rounds that is 2,295 T between first and last.',
  },
  'too-big': {
    title: 'Fewer bytes',
    text: 'Look for instructions written out several times: a loop or a routine holds them once. JR has two bytes, JP three; INC L one, LD HL,nn three; XOR A one, LD A,0 two. A register that already holds the right value need not be loaded.',
    example: 'LD H,D / LD L,D with D = 0 has two bytes, LD HL,0 three.',
  },
  'steps-in-wrong-order': {
    title: 'Before or behind',
    text: 'Each instruction works with what the ones before it have left. Two right steps in the wrong order give another result: doubling and then adding is not adding and then doubling; POP takes back in the opposite order of PUSH. Trace one round by hand.',
    example: '5 doubled, then + 1 is 11. 5 + 1, then doubled is 12.',
  },
  'wrong-operand': {
    title: 'Operation and operand',
    text: 'Most instructions carry a number, an address or a bit. The operation may be right and that number wrong. For each number in your program write down what it is: a count, an address, a mask. A mask has a 1 for each bit that is meant.',
    example: 'Key 0 stands in column 0, row 0: select 01h, look at bit 0. 02h would select column 1.',
  },
  'instruction-left-out': {
    title: 'One step too few',
    text: 'Say aloud what has to happen at this place, one step after the other, and put your finger on the instruction that does it. A step without an instruction is the one you left out: a register that nobody loads, a result that nobody stores, a pointer that nobody moves.',
    example: 'A loop over a list needs four things: where it begins, how many, the step to the next one, the way out.',
  },
  'wrong-instruction': {
    title: 'One instruction after the other',
    text: 'When nothing else helps, execute the program by hand. Make a column for each register and flag, write down what each instruction leaves, and compare with the trace. The first line where both differ is where you think of another instruction than the processor.',
    example: 'LD A,5 / ADD A,3: A = 08h, Z reset, carry reset. CP 3 leaves A at 08h.',
  },
} as const satisfies Readonly<Record<string, ConceptCard>>
