import { readProgram } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { Addr } from '../cpu/index.ts'
import { showWord, type Image } from '../image/index.ts'
import type { Call, ExerciseCase } from './case.ts'
import { placeOfRegister, registersOf } from './checks/registers.ts'
import { drawsFrom } from './draw.ts'

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
  seed: number,
): CallsDriver | null {
  const calls = callsOfCase(of)
  if (calls.length === 0) return null
  const draws = drawsFrom(seed)
  const table = calls.map(({ registers, memory }) => {
    const held: Record<string, number> = {}
    for (const pair of pairs) held[pair] = draws.between(0, 0xffff)
    const wanted = { ...given, ...registers }
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
  const text = [code, ...table.flat(), '        DEFB 255', ''].join('\n')
  const assemble = (origin: Addr) => readProgram({ format: 'assembly', text }, { origin, symbols: { ENTRY: entry } })
  const size = assemble(profile.layout.program).image.segments.reduce((sum, { bytes }) => sum + bytes.length, 0)
  const origin = of.callsAt ?? profile.layout.data - size
  const driver = assemble(origin)
  const call = driver.symbols['DRIVER_CALL']
  const back = driver.symbols['DRIVER_BACK']
  if (!driver.isOk || call === undefined || back === undefined) {
    throw new Error(`the driver does not assemble at ${showWord(origin)}: ${driver.problems[0]?.message ?? ''}`)
  }
  return { image: driver.image, entry: origin, site: { call, back } }
}
