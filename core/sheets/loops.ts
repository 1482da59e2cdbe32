import type { Addr } from '../cpu/index.ts'
import type { ProgramRow } from './program-rows.ts'

/** A counting loop of which the T-states can be worked out by hand. */
export interface CountedLoop {
  /** First instruction of the body, and the jump that closes it. */
  readonly from: Addr
  readonly to: Addr
  /** `B`, `C`, `BC` … */
  readonly counter: string
  /** T-states of a round that goes back, and of the last one. */
  readonly round: number
  readonly lastRound: number
  /** The load of the counter that stands directly before the loop. */
  readonly load: { readonly tStates: number; readonly value: number }
  /** Rounds that the loop makes: the value, or 256 or 65536 for 0. */
  readonly rounds: number
  /** Load and all rounds. */
  readonly total: number
}

/**
 * The counting loops of a program, in the order of their ends: DJNZ, DEC r with JR NZ or JP NZ, and the 16-bit DEC rr,
 * LD A,r, OR r, JR NZ. A loop counts when nothing else in it jumps or calls, inner counting loops excepted.
 */
export function countedLoops(rows: readonly ProgramRow[]): CountedLoop[] {
  const loops: CountedLoop[] = []
  for (const [end, row] of rows.entries()) {
    const target = row.decoded?.refersTo
    if (target?.use !== 'code' || target.address > row.address) continue
    const start = rows.findIndex(({ address }) => address === target.address)
    if (start < 0) continue
    const loop = countedLoop(rows, start, end, loops)
    if (loop !== null) loops.push(loop)
  }
  return loops
}

function countedLoop(
  rows: readonly ProgramRow[],
  start: number,
  end: number,
  inner: readonly CountedLoop[],
): CountedLoop | null {
  const closing = rows[end]
  const before = rows[start - 1]
  const counter = counterOf(rows, start, end)
  const body = bodyTStates(rows, start, end, inner)
  if (closing === undefined || closing.tStates === null || counter === null || body === null) return null
  const value = before === undefined ? null : loadedValue(before, counter)
  if (before === undefined || before.tStates === null || value === null) return null
  const round = body + closing.tStates
  const lastRound = body + (closing.tStatesNotTaken ?? closing.tStates)
  const rounds = value === 0 ? (counter.length === 1 ? 0x100 : 0x10000) : value
  const load = { tStates: before.tStates, value }
  const total = load.tStates + round * (rounds - 1) + lastRound
  const from = rows[start]?.address ?? 0
  return { from, to: closing.address, counter, round, lastRound, load, rounds, total }
}

/** T-states from `start` up to `end` (excluded), once through; null when they depend on more than loops. */
function bodyTStates(
  rows: readonly ProgramRow[],
  start: number,
  end: number,
  inner: readonly CountedLoop[],
): number | null {
  let sum = 0
  for (let i = start; i < end; i += 1) {
    const row = rows[i]
    const next = rows[i + 1]
    if (row === undefined || next === undefined || row.tStates === null) return null
    if (row.address + row.bytes.length !== next.address) return null
    const loop = inner.find(({ from }) => from === next.address)
    const loopEnd = loop === undefined ? -1 : rows.findIndex(({ address }) => address === loop.to)
    if (loop !== undefined && loopEnd < end && loopEnd > i && loadedValue(row, loop.counter) !== null) {
      sum += loop.total
      i = loopEnd
      continue
    }
    if (changesFlow(row)) return null
    sum += row.tStates
  }
  return sum
}

function changesFlow({ decoded }: ProgramRow): boolean {
  return /^(JP|JR|DJNZ|CALL|RET|RETI|RETN|RST|HALT)\b|^(LDIR|LDDR|CPIR|CPDR|INIR|INDR|OTIR|OTDR)$/.test(
    decoded?.instruction.text ?? '',
  )
}

/** The register that the jump at `end` counts down, or null. */
function counterOf(rows: readonly ProgramRow[], start: number, end: number): string | null {
  const textAt = (i: number) => (i >= start ? (rows[i]?.decoded?.instruction.text ?? '') : '')
  if (textAt(end) === 'DJNZ e') return 'B'
  if (!/^(JR NZ,e|JP NZ,nn)$/.test(textAt(end))) return null
  const [, single] = /^DEC ([A-EHL])$/.exec(textAt(end - 1)) ?? []
  if (single !== undefined) return single
  const [, pair = ''] = /^DEC (BC|DE|HL)$/.exec(textAt(end - 3)) ?? []
  const tests = `${textAt(end - 2)} ${textAt(end - 1)}`
  const [high, low] = [...pair]
  const isTested = tests === `LD A,${high} OR ${low}` || tests === `LD A,${low} OR ${high}`
  return pair !== '' && isTested ? pair : null
}

/** The value that `row` loads into `counter`, or null when it does not. */
function loadedValue({ decoded }: ProgramRow, counter: string): number | null {
  if (decoded === null) return null
  const [, low = 0, high = 0] = decoded.bytes
  if (decoded.instruction.text === `LD ${counter},n`) return low
  return decoded.instruction.text === `LD ${counter},nn` ? low | (high << 8) : null
}
