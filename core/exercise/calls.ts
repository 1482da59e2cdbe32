import { readProgram, type Program } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { Addr } from '../cpu/index.ts'
import { showWord, type Image } from '../image/index.ts'
import type { Call, ExerciseCase } from './case.ts'
import { placeOfRegister, registersOf } from './checks/registers.ts'
import type { Draws } from './draw.ts'
import { drawnValues } from './drawn-values.ts'

/** Where the driver of a case with `calls` calls the program, and where the program comes back to. */
export interface CallSite {
  readonly call: Addr
  readonly back: Addr
}

/** Every call of a case in turn: one with `times: 3` is there three times. */
export function callsOfCase({ calls }: Pick<ExerciseCase, 'calls'>): readonly Call[] {
  return calls.flatMap((each) => Array.from({ length: each.times }, () => each))
}

/** As the driver takes them from its table, which is the other way round than it pops them. */
const pairs = ['af', 'hl', 'de', 'bc', 'iy', 'ix', 'hl_', 'de_', 'bc_', 'af_'] as const

/**
 * The driver, with labels in place of its table: for each call it puts the bytes of the call into memory, loads every
 * register, those of the second set too, and calls ENTRY; behind the last call it halts. It needs 20 bytes of stack.
 */
const code = `
        LD HL,DRIVER_TABLE
        LD (DRIVER_PLACE),HL
DRIVER_NEXT:
        LD HL,(DRIVER_PLACE)
        LD A,(HL)
        INC HL
        INC A
        JR Z,DRIVER_DONE
DRIVER_BLOCK:
        DEC A
        JR Z,DRIVER_REGISTERS
        LD E,(HL)
        INC HL
        LD D,(HL)
        INC HL
        LD C,(HL)
        INC HL
        LD B,(HL)
        INC HL
        LDIR
        JR DRIVER_BLOCK
DRIVER_REGISTERS:
        LD B,10
DRIVER_PAIR:
        LD E,(HL)
        INC HL
        LD D,(HL)
        INC HL
        PUSH DE
        DJNZ DRIVER_PAIR
        LD (DRIVER_PLACE),HL
        POP AF
        POP BC
        POP DE
        POP HL
        EX AF,AF'
        EXX
        POP IX
        POP IY
        POP BC
        POP DE
        POP HL
        POP AF
DRIVER_CALL:
        CALL ENTRY
DRIVER_BACK:
        JR DRIVER_NEXT
DRIVER_DONE:
        HALT
DRIVER_PLACE:
        DEFW 0
DRIVER_TABLE:
`

/** Bytes of a register pair in the driver's table, and of what names a block of memory there. */
const [pairBytes, blockBytes] = [2, 4]
let codeBytes: number | null = null

function sizeOfCode(): number {
  codeBytes ??= assembled('', 0, 0).symbols['DRIVER_TABLE'] ?? 0
  return codeBytes
}

function assembled(table: string, origin: Addr, entry: Addr): Program {
  return readProgram({ format: 'assembly', text: code + table }, { origin, symbols: { ENTRY: entry } })
}

/** Both ends included. */
export interface CallsPlace {
  readonly from: Addr
  readonly to: Addr
}

/**
 * Where the driver of a case with `calls` stands, whatever is drawn: just below the board's data unless the case says; it
 * may wrap or lie outside RAM there.
 */
export function placeOfCalls(of: Pick<ExerciseCase, 'calls' | 'callsAt'>, { layout }: BoardProfile): CallsPlace {
  const tables = callsOfCase(of).map(({ memory, draws }) => {
    const lengths = [
      ...memory.map(({ bytes }) => bytes.length),
      ...draws.flatMap(({ at, length }) => (at === null ? [] : [length])),
    ]
    return 1 + pairs.length * pairBytes + lengths.reduce((sum, length) => sum + blockBytes + length, 0)
  })
  const size = sizeOfCode() + tables.reduce((sum, bytes) => sum + bytes, 0) + 1
  const from = of.callsAt ?? layout.data - size
  return { from, to: from + size - 1 }
}

/** The driver of a case with calls: its bytes, where it begins, where it calls. */
export interface CallsDriver {
  readonly image: Image
  readonly entry: Addr
  readonly site: CallSite
}

/**
 * The driver of a case with `calls`; null where it has none. Registers that a call leaves open hold values drawn for that
 * call, so that nothing survives from the one before.
 */
export function callsDriver(
  of: Pick<ExerciseCase, 'calls' | 'callsAt'>,
  given: Readonly<Record<string, number>>,
  profile: BoardProfile,
  entry: Addr,
  streams: { readonly draws: Draws; readonly open: Draws },
): CallsDriver | null {
  const calls = callsOfCase(of)
  if (calls.length === 0) return null
  const table = calls.map((call) => {
    const held: Record<string, number> = {}
    for (const pair of pairs) held[pair] = streams.open.between(0, 0xffff)
    const drawn = drawnValues(call.draws, streams.draws)
    const memory = [...call.memory, ...drawn.memory]
    const wanted = { ...given, ...call.registers, ...drawn.registers }
    for (const name of registersOf(wanted)) {
      const { pair, half } = placeOfRegister(name)
      const value = wanted[name] ?? 0
      const before = held[pair] ?? 0
      held[pair] =
        half === 'whole'
          ? value
          : half === 'high'
            ? (before & 0xff) | ((value & 0xff) << 8)
            : (before & 0xff00) | (value & 0xff)
    }
    return [
      `        DEFB ${memory.length}`,
      ...memory.flatMap(({ at, bytes }) => [
        `        DEFW ${at},${bytes.length}`,
        ...bytes.map((value) => `        DEFB ${value}`),
      ]),
      `        DEFW ${pairs.map((pair) => held[pair] ?? 0).join(',')}`,
    ]
  })
  const { from: origin } = placeOfCalls(of, profile)
  const driver = assembled([...table.flat(), '        DEFB 255', ''].join('\n'), origin, entry)
  const call = driver.symbols['DRIVER_CALL']
  const back = driver.symbols['DRIVER_BACK']
  if (!driver.isOk || call === undefined || back === undefined) {
    throw new Error(`the driver does not assemble at ${showWord(origin)}: ${driver.problems[0]?.message ?? ''}`)
  }
  return { image: driver.image, entry: origin, site: { call, back } }
}
