import { registerParts, type Addr, type Registers } from '../../cpu/index.ts'
import type { RegisterName } from '../../exercise/index.ts'
import { showWord } from '../../image/index.ts'
import type { FlagName, WhyFact } from './why.ts'
import { flagNames } from './why.ts'

const numbers = new Map<string, number>(registerParts.map((name, part) => [name, part]))

const bitOf = (name: string): number => 1 << (numbers.get(name) ?? 0)
const bitsOf = (...names: readonly string[]): number => names.reduce((sum, name) => sum | bitOf(name), 0)

/** The flags, which are parts 0 to 7. */
export const allFlags = 0xff
export const everyPart = 0x7fff_ffff
export const interruptPart = bitOf('IFF')
export const stackPart = bitOf('SP')

const halves: Readonly<Record<string, readonly string[]>> = {
  af: ['A'],
  bc: ['B', 'C'],
  de: ['D', 'E'],
  hl: ['H', 'L'],
  ix: ['IXH', 'IXL'],
  iy: ['IYH', 'IYL'],
  af_: ["A'", "F'"],
  bc_: ["B'", "C'"],
  de_: ["D'", "E'"],
  hl_: ["H'", "L'"],
}

/** The parts that a register is made of, as bits. */
export function partsOfRegister(register: RegisterName): number {
  if (register === 'f') return allFlags
  if (register === 'af') return allFlags | bitOf('A')
  return bitsOf(...(halves[register] ?? [register.toUpperCase()]))
}

export function partOfFlag(flag: FlagName): number {
  return 1 << flagNames.indexOf(flag)
}

/** `flag Z`; P/V by its whole name. */
export function flagText(flag: FlagName): string {
  return `flag ${flag === 'pv' ? 'P/V' : flag.toUpperCase()}`
}

const pairsShown = [
  { name: 'BC', parts: bitsOf('B', 'C'), valueOf: (of: Registers) => of.bc },
  { name: 'DE', parts: bitsOf('D', 'E'), valueOf: (of: Registers) => of.de },
  { name: 'HL', parts: bitsOf('H', 'L'), valueOf: (of: Registers) => of.hl },
  { name: 'IX', parts: bitsOf('IXH', 'IXL'), valueOf: (of: Registers) => of.ix },
  { name: 'IY', parts: bitsOf('IYH', 'IYL'), valueOf: (of: Registers) => of.iy },
  { name: "AF'", parts: bitsOf("A'", "F'"), valueOf: (of: Registers) => of.af_ },
  { name: "BC'", parts: bitsOf("B'", "C'"), valueOf: (of: Registers) => of.bc_ },
  { name: "DE'", parts: bitsOf("D'", "E'"), valueOf: (of: Registers) => of.de_ },
  { name: "HL'", parts: bitsOf("H'", "L'"), valueOf: (of: Registers) => of.hl_ },
  { name: 'F', parts: allFlags, valueOf: (of: Registers) => of.af & 0xff },
] as const

/** What some parts of the registers hold: pairs as one where both halves are asked for. */
export function registerFacts(parts: number, registers: Registers): readonly WhyFact[] {
  const facts: WhyFact[] = []
  let rest = parts
  for (const { name, parts: own, valueOf } of pairsShown) {
    if ((rest & own) !== own) continue
    facts.push({ what: name, value: valueOf(registers), bits: name === 'F' ? 8 : 16 })
    rest &= ~own
  }
  for (const [part, name] of registerParts.entries()) {
    if (((rest >> part) & 1) === 0) continue
    facts.push(part < 8 ? flagFact(part, registers) : singleFact(name, registers))
  }
  return facts
}

function flagFact(part: number, { af }: Registers): WhyFact {
  return { what: flagText(flagNames[part] ?? 'c'), value: (af >> part) & 1, bits: 1 }
}

function singleFact(name: string, registers: Registers): WhyFact {
  const high = (pair: number): WhyFact => ({ what: name, value: pair >> 8, bits: 8 })
  const low = (pair: number): WhyFact => ({ what: name, value: pair & 0xff, bits: 8 })
  switch (name) {
    case 'A':
      return high(registers.af)
    case 'B':
      return high(registers.bc)
    case 'C':
      return low(registers.bc)
    case 'D':
      return high(registers.de)
    case 'E':
      return low(registers.de)
    case 'H':
      return high(registers.hl)
    case 'L':
      return low(registers.hl)
    case 'IXH':
      return high(registers.ix)
    case 'IXL':
      return low(registers.ix)
    case 'IYH':
      return high(registers.iy)
    case 'IYL':
      return low(registers.iy)
    case 'I':
      return { what: name, value: registers.i, bits: 8 }
    case 'R':
      return { what: name, value: registers.r, bits: 8 }
    case 'SP':
      return { what: name, value: registers.sp, bits: 16 }
    case 'IFF':
      return { what: 'interrupts on', value: Number(registers.iff1), bits: 1 }
    case "A'":
      return high(registers.af_)
    case "F'":
      return low(registers.af_)
    case "B'":
      return high(registers.bc_)
    case "C'":
      return low(registers.bc_)
    case "D'":
      return high(registers.de_)
    case "E'":
      return low(registers.de_)
    case "H'":
      return high(registers.hl_)
    default:
      return low(registers.hl_)
  }
}

/** `(4600h)`, as an instruction would name it. */
export function memoryFact(address: Addr, value: number): WhyFact {
  return { what: `(${showWord(address)})`, value, bits: 8 }
}
