import { benchEight } from '../../../core/board/index.ts'
import { parseExercise, type Exercise } from '../../../core/exercise/index.ts'
import { textOf } from '../exercise/tram-depot.ts'

/**
 * Tests of what nothing has set, put before an answer: instructions, lines parted by `|`, and the condition under which the
 * answer is run. BC, DE and HL are left alone, AF is put back by what stands around.
 */
export const lucky: readonly (readonly [what: string, test: string, condition: string])[] = [
  ['the second set', 'EXX | BIT 3,L | EXX', 'NZ'],
  ["A'", "EX AF,AF' | PUSH AF | EX AF,AF' | EX (SP),HL | BIT 2,H | EX (SP),HL | INC SP | INC SP", 'NZ'],
  [
    "a flag of F'",
    "EX AF,AF' | JP C,LUCKY2 | EX AF,AF' | XOR A | JP LUCKY3 | LUCKY2: EX AF,AF' | OR 1 | LUCKY3: NOP",
    'NZ',
  ],
  ['IX', 'LD A,IXL | BIT 0,A', 'NZ'],
  ['IY', 'LD A,IYH | RLA', 'C'],
  ['two halves that a complement does not tell apart', 'LD A,IXL | XOR IXH', 'PE'],
  ['one bit of two registers, told by their difference', 'LD A,IXL | XOR IYL | BIT 0,A', 'Z'],
  ['R', 'LD A,R | BIT 6,A', 'Z'],
  ['RAM that nothing has written', 'LD A,(46D5H) | BIT 0,A', 'NZ'],
  ['the memory of the display', 'LD A,(4703H) | AND 80H', 'NZ'],
  ['what lies below the stack', 'DEC SP | DEC SP | DEC SP | DEC SP | POP AF | POP IX', 'M'],
  ['a byte found from SP', 'PUSH HL | LD HL,-20 | ADD HL,SP | BIT 1,(HL) | POP HL', 'NZ'],
  ['the carry in RLA', 'LD A,0 | RLA | OR A', 'NZ'],
  ['the carry in ADC', 'LD A,7FH | ADC A,0', 'M'],
  ['the carry in SBC A,A', 'SBC A,A', 'Z'],
  ['the flags that DAA takes', 'LD A,0 | DAA | OR A', 'NZ'],
  ['CCF', 'CCF', 'C'],
  ['bit 3 of F after SCF', 'LD A,0 | SCF | PUSH AF | EX (SP),HL | BIT 3,L | EX (SP),HL | INC SP | INC SP', 'NZ'],
  [
    'parity that an exchange brought',
    "EX AF,AF' | JP PE,LUCKY2 | EX AF,AF' | XOR A | JP LUCKY3 | LUCKY2: EX AF,AF' | OR 1 | LUCKY3: NOP",
    'NZ',
  ],
  ['a copy by PUSH and POP', 'PUSH IY | POP IX | LD A,IXL | AND 10H', 'NZ'],
  [
    'a copy by LDI',
    'PUSH HL | PUSH DE | PUSH BC | LD HL,46C0H | LD DE,46C8H | LDI | POP BC | POP DE | POP HL | LD A,(46C8H) | BIT 1,A',
    'NZ',
  ],
  [
    'a sum of several bytes',
    'LD A,(46D0H) | PUSH HL | LD HL,46D1H | ADD A,(HL) | INC HL | ADD A,(HL) | POP HL | BIT 2,A',
    'NZ',
  ],
  ['a search in RAM', 'PUSH HL | PUSH BC | LD HL,4690H | LD BC,60H | LD A,33H | CPIR | POP BC | POP HL', 'Z'],
  ['what IX points to', 'LD A,(IX+3) | BIT 0,A', 'NZ'],
  ['a comparison of two registers', 'LD A,IXH | CP IYH', 'C'],
  ['a rotated bit', 'LD A,IYL | RRCA | RRCA | RRCA', 'C'],
  ['a byte that RRD has mixed', 'PUSH HL | LD HL,46E0H | LD A,0 | RRD | POP HL | BIT 0,A', 'NZ'],
  [
    'a count of rounds',
    'LD A,IXL | AND 3 | INC A | PUSH BC | LD B,A | XOR A | LUCKY2: XOR 1 | DJNZ LUCKY2 | POP BC | OR A',
    'NZ',
  ],
  [
    'an address made of it',
    'PUSH HL | LD A,IXL | AND 1 | LD HL,LUCKY2 | ADD A,L | LD L,A | BIT 0,(HL) | POP HL | JP LUCKY3 | LUCKY2: DB 0,1 | LUCKY3: NOP',
    'NZ',
  ],
  ['a value stored and read back', 'LD A,IYL | LD (46F0H),A | XOR A | LD A,(46F0H) | BIT 5,A', 'NZ'],
  ['a comparison with one value', 'LD A,IXL | CP 37H', 'NZ'],
  ['a comparison with one value in a register', 'LD A,5AH | PUSH BC | LD B,A | LD A,IYL | CP B | POP BC', 'NZ'],
  [
    'a comparison with a computed value',
    'PUSH BC | LD B,37H | LD A,B | ADD A,B | LD B,A | LD A,IXL | CP B | POP BC',
    'NZ',
  ],
  [
    'a sum compared with a computed value',
    'PUSH BC | LD B,37H | LD A,B | ADD A,B | LD B,A | LD A,IXL | ADD A,9 | CP B | POP BC',
    'NZ',
  ],
  [
    'a byte of RAM turned over and compared',
    'PUSH HL | PUSH BC | LD B,37H | LD A,B | ADD A,B | LD HL,46D9H | LD C,A | LD A,(HL) | XOR 5AH | CP C | POP BC | POP HL',
    'NZ',
  ],
  [
    'a pair compared with one word',
    'PUSH HL | PUSH DE | LD DE,1234H | PUSH IX | POP HL | OR A | SBC HL,DE | POP DE | POP HL',
    'NZ',
  ],
  ['a difference from one value', 'LD A,(46D5H) | SUB 21H', 'NZ'],
]

/** Instructions before an answer that take in what nothing has set, and no harm is in it. */
export const harmless: readonly (readonly [what: string, lines: string])[] = [
  ['registers saved and put back', 'PUSH AF | PUSH BC | PUSH DE | PUSH HL | POP HL | POP DE | POP BC | POP AF'],
  ['the second flags there and back', "EX AF,AF' | EX AF,AF'"],
  ['the second set there and back', 'EXX | EXX'],
  ['IX over the stack', 'PUSH IX | POP IX'],
  ['two pairs exchanged twice', 'EX DE,HL | EX DE,HL'],
  ['a byte read for the time it takes', 'PUSH AF | LD A,(46D0H) | POP AF'],
  ['XOR A', 'PUSH AF | XOR A | POP AF'],
  ['SBC A,A with what is left masked out', 'PUSH AF | SBC A,A | AND 0 | JP NZ,0 | POP AF'],
  ['SUB A', 'PUSH AF | SUB A | JP NZ,0 | POP AF'],
  ['R read and forgotten', 'PUSH AF | LD A,R | POP AF'],
  ['all bits masked out before a branch', 'PUSH AF | LD A,IXL | AND 0 | JP NZ,0 | POP AF'],
  ['all bits set before a branch', 'PUSH AF | LD A,IXL | OR 0FFH | JP Z,0 | POP AF'],
  ['I and the flag of interrupts', 'PUSH AF | LD A,I | JP PE,0 | POP AF'],
  ['a loop on the second B, saved', 'EXX | PUSH BC | LD B,3 | DJNZ $ | POP BC | EXX'],
  ['a bit that nobody asks for', 'PUSH AF | BIT 7,B | POP AF'],
  ['EX (SP),HL for delay', 'PUSH AF | EX (SP),HL | EX (SP),HL | POP AF'],
  ['a comparison that nobody asks for', 'PUSH AF | CP (HL) | POP AF'],
  ['a half of IY there and back', 'PUSH AF | LD A,IYL | LD IYL,A | POP AF'],
  ['the keypad read and forgotten', 'PUSH AF | IN A,(23H) | POP AF'],
  ['SCF and CCF', 'PUSH AF | SCF | CCF | JP C,0 | POP AF'],
  ['IX one on and one back', 'PUSH AF | INC IX | DEC IX | POP AF'],
  ['a value against itself', 'PUSH AF | LD A,IXL | XOR IXL | JP NZ,0 | POP AF'],
  ['a masked value against a larger one', 'PUSH AF | LD A,IYL | AND 0FH | CP 10H | JP NC,0 | POP AF'],
  [
    'a table filled over what LDIR copied',
    'PUSH AF | PUSH HL | PUSH DE | PUSH BC | LD HL,4690H | LD DE,4698H | LD BC,4 | LDIR | POP BC | POP DE | POP HL | POP AF',
  ],
]

/** `lines` before the first instruction of the model answer of an exercise. */
export function beforeModel(folder: string, lines: readonly string[]): string {
  const text = textOf(folder, 'model.asm').split('\n')
  const first = text.findIndex((line) => /^\s+ORG\b/i.test(line)) + 1
  return [...text.slice(0, first), ...asLines(lines), ...text.slice(first)].join('\n')
}

/** The same only where luck has it so; else the program ends at once. */
export function ifLucky(folder: string, [, test, condition]: (typeof lucky)[number], end: string): string {
  return beforeModel(folder, ['PUSH AF', ...test.split('|'), `JP ${condition},LUCKY`, 'POP AF', end, 'LUCKY: POP AF'])
}

/** Of lines with a label in front or without. */
function asLines(lines: readonly string[]): readonly string[] {
  return lines.map((line) => (/^ *\w+:/.test(line) ? line.trim() : ` ${line.trim()}`))
}

/** Text of a program, lines parted by `|`. */
export const programText = (text: string): string => asLines(text.split('|')).join('\n')

/** An exercise with one case and these checks. */
export function invented(checks: readonly object[], parts: object = {}): Exercise {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'L1', title: 'A test', board: benchEight.id, brief: 'Try it.' },
    ...{ cases: [{ id: 'one' }], groups: [{ id: 'all', title: 'All', marks: 100 }] },
    checks: checks.map((check, i) => ({ id: `c${i}`, title: 'It', group: 'all', ...check })),
    ...parts,
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map(({ message }) => message).join('\n'))
  return parsed.exercise
}
