import { lightOf } from '../board/index.ts'
import type { Addr, TState } from '../cpu/index.ts'
import { stops, watch } from './hits.ts'
import { historyOf } from './history.ts'
import { scanMemory } from './memory-scan.ts'
import type {
  History,
  HistorySubject,
  MemoryRead,
  MemoryWrite,
  Questions,
  RegisterName,
  StackMark,
  StepSpan,
  SweepGap,
  Usage,
  Visits,
  Writer,
} from './questions.ts'
import type { Recording, TraceStep } from './recording.ts'
import type { Replay } from './replay.ts'
import type { RunRequest } from './request.ts'
import { stackAtStart } from './start.ts'
import { UsageCount } from './usage-count.ts'

/** Instructions named as those that ran in a gap of the display. */
const mostMeanwhile = 12

/**
 * Answers by running again: without a trace where a mark on a byte is enough, with one where registers or addresses are
 * asked for. What is counted over the whole run is counted once.
 */
export class Answers implements Questions {
  readonly #recording: Recording
  readonly #replay: Replay
  readonly #request: RunRequest
  #whole: UsageCount | null = null
  #firstReads: ReadonlyMap<Addr, MemoryRead> | null = null

  constructor(recording: Recording, replay: Replay, request: RunRequest) {
    this.#recording = recording
    this.#replay = replay
    this.#request = request
  }

  lastWriter(address: Addr, before: number): MemoryWrite | null {
    const step = this.#recording.find(before, 'back', { kind: 'memory-write', address })
    return step === null ? null : this.#writeIn(step, address, 'last')
  }

  writers(address: Addr): readonly Writer[] {
    const found = new Map<Addr, { count: number; firstT: TState; lastT: TState }>()
    watch(this.#replay, address, 0, this.#recording.result.steps, (t, _value, pc) => {
      const known = found.get(pc)
      if (known === undefined) found.set(pc, { count: 1, firstT: t, lastT: t })
      else {
        known.count += 1
        known.lastT = t
      }
    })
    return [...found].map(([pc, { count, firstT, lastT }]) => ({
      pc,
      count,
      first: this.#writeIn(this.#recording.stepAt(firstT), address, 'first'),
      last: this.#writeIn(this.#recording.stepAt(lastT), address, 'last'),
    }))
  }

  lastTimeRegisterWas(register: RegisterName, value: number, before: number): number | null {
    return this.#recording.find(before, 'back', { kind: 'register-is', register, value })
  }

  visits(address: Addr): Visits {
    return this.#counted.visits(address)
  }

  visitSteps(address: Addr, from: number, most = 1000): readonly number[] {
    const { steps } = this.#recording.result
    const found: number[] = []
    const { last } = this.visits(address)
    if (last === null) return found
    // Where an interrupt was accepted, or a HALT waits, PC stands here too and nothing of it is executed.
    const isExecuted = (step: number) => {
      const [traced] = this.#recording.steps(step, step + 1)
      return traced?.kind === 'instruction'
    }
    const mayWait = this.#counted.interrupts.steps > 0 || this.visits((address - 1) & 0xffff).waits > 0
    let next = Math.max(0, Math.floor(from))
    while (found.length < most && next <= last) {
      const seen: number[] = []
      for (const step of stops(this.#replay, [address])(next, steps)) {
        seen.push(step)
        if (seen.length >= most - found.length) break
      }
      if (seen.length === 0) break
      next = (seen.at(-1) ?? next) + 1
      for (const step of seen) if (!mayWait || isExecuted(step)) found.push(step)
    }
    return found
  }

  longestSweepGap(where: { from?: TState; to?: TState; digit?: number } = {}): SweepGap | null {
    const { events, result } = this.#recording
    const from = where.from ?? 0
    const to = where.to ?? result.tStates
    let longest: { digit: number; from: TState; to: TState } | null = null
    lightOf(events, this.#request.profile, 0, result.tStates).forEach(({ start, end }, digit) => {
      if (where.digit !== undefined && where.digit !== digit) return
      for (let k = 1; k < start.length; k++) {
        const dark = end[k - 1] ?? 0
        const lit = start[k] ?? 0
        if (lit <= from || dark >= to) continue
        if (longest === null || lit - dark > longest.to - longest.from) longest = { digit, from: dark, to: lit }
      }
    })
    return longest === null ? null : this.#gap(longest)
  }

  instructionAt(t: TState): TraceStep | null {
    const { steps } = this.#recording.result
    const step = Math.min(this.#recording.stepAt(t), steps - 1)
    return this.#recording.steps(step, step + 1)[0] ?? null
  }

  usage(span?: StepSpan): Usage {
    if (span === undefined) return this.#counted
    const { steps } = this.#recording.result
    const from = Math.max(0, Math.min(steps, Math.floor(span.from)))
    return new UsageCount(this.#replay, { from, to: Math.max(from, Math.min(steps, Math.floor(span.to))) })
  }

  highestStackMark(): StackMark {
    const { lowestSp: sp, lowestSpStep: step } = this.#counted
    const depth = this.#recording.at(0).registers.sp - sp
    return { sp, depth, step, t: this.#recording.at(step).t, by: step === 0 ? null : step - 1 }
  }

  readBeforeWritten(address: Addr): MemoryRead | null {
    return this.#reads.get(address) ?? null
  }

  allReadBeforeWritten(): readonly MemoryRead[] {
    const { memory } = this.#request.profile
    const isRam = (at: Addr) => memory.some(({ kind, from, to }) => kind === 'ram' && from <= at && at <= to)
    return [...this.#reads.values()].filter(({ address }) => isRam(address))
  }

  history(what: HistorySubject, window?: { from: TState; to: TState }): History {
    return historyOf(this.#recording, this.#replay, what, window)
  }

  get #counted(): UsageCount {
    this.#whole ??= new UsageCount(this.#replay, { from: 0, to: this.#recording.result.steps })
    return this.#whole
  }

  /** The first read of each byte that was read before anything wrote to it. */
  get #reads(): ReadonlyMap<Addr, MemoryRead> {
    this.#firstReads ??= this.#findReads()
    return this.#firstReads
  }

  #findReads(): ReadonlyMap<Addr, MemoryRead> {
    const found = new Map<Addr, MemoryRead>()
    const isTouched = new Uint8Array(0x10000)
    const isGiven = givenBytes(this.#request)
    scanMemory(this.#replay, 0, this.#recording.result.steps, {
      read: (address, value, step, pc, t) => {
        if (isTouched[address] !== 0) return
        isTouched[address] = 1
        found.set(address, { step, t, pc, address, value, isGiven: isGiven[address] !== 0 })
      },
      write: (address) => {
        isTouched[address] = 1
      },
    })
    return found
  }

  #writeIn(step: number, address: Addr, which: 'first' | 'last'): MemoryWrite {
    const [traced] = this.#recording.steps(step, step + 1)
    const writes = traced?.memoryWrites.filter((write) => write.address === address) ?? []
    const write = which === 'first' ? writes[0] : writes.at(-1)
    if (traced === undefined || write === undefined) throw new Error(`step ${step} does not write to ${address}`)
    return { step, t: traced.t, pc: traced.pc, ...write }
  }

  #gap({ digit, from, to }: { digit: number; from: TState; to: TState }): SweepGap {
    const steps = { from: this.#recording.stepAt(from), to: this.#recording.stepAt(to) }
    const ran = this.usage(steps).byAddress
    const ranMeanwhile = ran.toSorted((a, b) => b.tStates - a.tStates).slice(0, mostMeanwhile)
    return { digit, from, to, tStates: to - from, steps, ranMeanwhile }
  }
}

/** 1 for each byte that somebody put in its place before the start: all of ROM, firmware data, image, case. */
function givenBytes(request: RunRequest): Uint8Array {
  const { profile, image, given, ends } = request
  const isGiven = new Uint8Array(0x10000).fill(1)
  for (const { kind, from, to } of profile.memory) if (kind === 'ram') isGiven.fill(0, from, to + 1)
  const mark = (at: Addr, count: number) => {
    for (let i = 0; i < count; i++) isGiven[(at + i) & 0xffff] = 1
  }
  for (const { at, hex } of profile.firmware.ready) mark(at, hex.length / 2)
  for (const { start, bytes } of image.segments) mark(start, bytes.length)
  for (const { at, bytes } of given.memory) mark(at, bytes.length)
  if (ends === 'return') mark(stackAtStart(request) - 2, 2)
  return isGiven
}
