import type { Program } from '../../../core/assembler/index.ts'
import { benchEight, digitTimeline, EventLog, type BoardEvent } from '../../../core/board/index.ts'
import type { Registers } from '../../../core/cpu/index.ts'
import { kindNamed, type CaseRun, type Verdict } from '../../../core/exercise/index.ts'
import type { KeyPress, Recording, RunEnd, RunRequest, RunResult } from '../../../core/run/index.ts'

/** What a made-up run gave; everything left out is zero, and the program halted at 4007h, after 1,000 T or 100 T after its last event. */
export interface MadeUp {
  readonly registers?: Partial<Registers>
  readonly before?: Partial<Registers>
  readonly memory?: Readonly<Record<number, readonly number[]>>
  readonly memoryBefore?: Readonly<Record<number, readonly number[]>>
  readonly events?: readonly BoardEvent[]
  readonly end?: RunEnd
  readonly ends?: 'halt' | 'return'
  readonly tStates?: number
  readonly lowestSp?: number
  readonly bytes?: readonly number[]
  readonly listing?: Program['listing']
  readonly model?: MadeUp
  /** What the same program gives at another address; the same unless given. */
  readonly moved?: MadeUp
  readonly keys?: readonly KeyPress[]
}

const zero: Registers = {
  ...{ af: 0, bc: 0, de: 0, hl: 0, af_: 0, bc_: 0, de_: 0, hl_: 0, ix: 0, iy: 0 },
  ...{ sp: 0x4800, pc: 0x4008, i: 0, r: 0, wz: 0, q: 0, im: 1, iff1: false, iff2: false },
  ...{ isHalted: true, isEiShadow: false },
}

function memoryOf(blocks: Readonly<Record<number, readonly number[]>>): Uint8Array {
  const memory = new Uint8Array(0x10000)
  for (const [at, bytes] of Object.entries(blocks)) memory.set(bytes, Number(at))
  return memory
}

function resultOf(run: MadeUp): RunResult {
  return {
    end: run.end ?? { kind: 'halted' },
    tStates: run.tStates ?? Math.max(1000, (run.events?.at(-1)?.t ?? 0) + 100),
    steps: 100,
    lastPc: 0x4007,
    registers: { ...zero, ...run.registers },
    memory: memoryOf(run.memory ?? {}),
    events: EventLog.from(run.events ?? []),
    lowestSp: run.lowestSp ?? null,
  }
}

/** A check of one kind on a made-up run, without an engine. */
export function tryCheck(kind: string, fields: object, run: MadeUp): Verdict {
  const problems: string[] = []
  const prepared = kindNamed(kind)?.read(fields, [], (problem) => problems.push(problem.message))
  if (prepared === undefined) throw new Error(`not read: ${problems.join('; ')}`)
  return prepared.evaluate(madeUpRun(run))
}

/** The outcome alone: `passed`, `failed`, `out-of-tolerance`. */
export function outcome(kind: string, fields: object, run: MadeUp): string {
  return tryCheck(kind, fields, run).outcome
}

function madeUpRun(run: MadeUp): CaseRun {
  const result = resultOf(run)
  const initial = {
    registers: { ...zero, ...run.before },
    memory: memoryOf(run.memoryBefore ?? run.memory ?? {}),
  }
  const request: RunRequest = {
    profile: benchEight,
    image: { segments: [] },
    entry: 0x4000,
    ends: run.ends ?? 'halt',
    given: { registers: {}, memory: [], keys: run.keys ?? [], switches: 0, fill: { byte: 0 }, isTimerOn: false },
    budget: 40_000_000,
  }
  const bytes = Uint8Array.from(run.bytes ?? [])
  const program: Program = {
    isOk: true,
    format: 'hex',
    image: { segments: bytes.length === 0 ? [] : [{ start: 0x4000, bytes }] },
    entry: 0x4000,
    listing: run.listing ?? [],
    symbols: {},
    problems: [],
  }
  return {
    caseId: 'made-up',
    isVisible: true,
    profile: benchEight,
    program,
    request,
    result,
    initial: () => initial,
    digits: () => digitTimeline(result.events, benchEight, 0, result.tStates),
    recording: () => emptyRecording(result),
    runUntil: () => result,
    moved: () => resultOf(run.moved ?? run),
    modelRecording: () => null,
    callSite: null,
    model: () => (run.model === undefined ? null : resultOf(run.model)),
  }
}

/** A recording that never finds anything: checks then decide at the end of the run. */
function emptyRecording(result: RunResult): Recording {
  const unused = (): never => {
    throw new Error('a made-up run has no snapshots')
  }
  return {
    ...({ result, events: result.events, digits: [] } as unknown as Recording),
    at: unused,
    stepAt: () => 0,
    steps: () => [],
    find: () => null,
  }
}

/** Edges every half period from `start` on, beginning with a rise; `lengths` are the half periods in turn. */
export function tone(start: number, ...lengths: readonly number[]): readonly BoardEvent[] {
  let t = start
  const edge = (level: number): BoardEvent => ({ kind: 'speaker-edge', t, pc: 0x4004, level: level === 1 ? 1 : 0 })
  const events = [edge(1)]
  for (const [i, length] of lengths.entries()) {
    t += length
    events.push(edge(i % 2))
  }
  return events
}

/** Sweeps over digits with these segments: each lit for `each` T, then `pause` T of darkness, `times` over. */
export function sweeps(
  segments: readonly number[],
  times: number,
  each: number | readonly number[] = 2500,
  pause = 0,
): { readonly events: readonly BoardEvent[]; readonly end: number } {
  const events: BoardEvent[] = []
  let t = 100
  const write = (port: number, value: number): void => {
    events.push({ kind: 'port-write', t, pc: 0x4010, port, value })
  }
  for (let sweep = 0; sweep < times; sweep++) {
    for (const [digit, value] of segments.entries()) {
      write(0x20, value)
      write(0x21, 1 << digit)
      t += typeof each === 'number' ? each : (each[digit] ?? 0)
      write(0x21, 0)
    }
    t += pause
  }
  return { events, end: t }
}
