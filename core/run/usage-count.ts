import type { Addr, TState } from '../cpu/index.ts'
import type { AddressUsage, NamedRange, RangeUsage, StepSpan, Usage, Visits } from './questions.ts'
import type { Replay } from './replay.ts'

/**
 * Counts what the steps of a span did, address by address, in one go. The wait of a HALT counts for the HALT itself,
 * although PC stands behind it.
 */
export class UsageCount implements Usage {
  readonly span: StepSpan
  tStates: TState = 0
  /** SP was never lower at the begin of a step, or behind the last one; and the first step to begin so. */
  lowestSp: Addr = 0
  lowestSpStep = 0
  readonly interrupts = { steps: 0, tStates: 0 }
  readonly #executed = new Uint32Array(0x10000)
  readonly #waits = new Uint32Array(0x10000)
  readonly #tStates = new Float64Array(0x10000)
  readonly #first = new Uint32Array(0x10000)
  readonly #last = new Uint32Array(0x10000)
  #byAddress: readonly AddressUsage[] | null = null

  constructor(replay: Replay, span: StepSpan) {
    this.span = span
    this.#count(replay)
  }

  get steps(): number {
    return this.span.to - this.span.from
  }

  get byAddress(): readonly AddressUsage[] {
    this.#byAddress ??= this.#list()
    return this.#byAddress
  }

  visits(address: Addr): Visits {
    const count = this.#executed[address] ?? 0
    const ran = count > 0
    return {
      address,
      count,
      waits: this.#waits[address] ?? 0,
      first: ran ? (this.#first[address] ?? 0) : null,
      last: ran ? (this.#last[address] ?? 0) : null,
      tStates: this.#tStates[address] ?? 0,
    }
  }

  inRanges(ranges: readonly NamedRange[]): readonly RangeUsage[] {
    const owner = new Int32Array(0x10000).fill(-1)
    ranges.forEach(({ from, to }, k) => owner.fill(k, from, to + 1))
    const steps = ranges.map(() => 0)
    const tStates = ranges.map(() => 0)
    for (const used of this.byAddress) {
      const k = owner[used.address] ?? -1
      if (k < 0) continue
      steps[k] = (steps[k] ?? 0) + used.steps
      tStates[k] = (tStates[k] ?? 0) + used.tStates
    }
    return ranges.map((range, k) => ({
      ...range,
      steps: steps[k] ?? 0,
      tStates: tStates[k] ?? 0,
      share: this.tStates === 0 ? 0 : (tStates[k] ?? 0) / this.tStates,
    }))
  }

  #list(): AddressUsage[] {
    const list: AddressUsage[] = []
    for (let address = 0; address < 0x10000; address++) {
      const steps = (this.#executed[address] ?? 0) + (this.#waits[address] ?? 0)
      if (steps > 0) list.push({ address, steps, tStates: this.#tStates[address] ?? 0 })
    }
    return list
  }

  #count(replay: Replay): void {
    const { from, to } = this.span
    const [executed, waits, tStates, first, last] = [
      this.#executed,
      this.#waits,
      this.#tStates,
      this.#first,
      this.#last,
    ]
    const start = replay.seek(from)
    const startT = start.tStates
    let lowestSp = start.registers().sp
    let lowestSpStep = from
    /** The address that the step before counts for; −1 for an interrupt. */
    let before = -1
    let beforeT = startT
    const { interrupts } = this
    const close = (t: TState) => {
      if (before >= 0) tStates[before] = (tStates[before] ?? 0) + t - beforeT
      else interrupts.tStates += t - beforeT
    }
    replay.scan(from, to, (trace, firstStep, count) => {
      const [timeOf, pcOf, kindOf, spOf] = [trace.times(), trace.column('pc'), trace.kinds(), trace.column('sp')]
      for (let k = 0; k < count; k++) {
        const t = timeOf(k)
        close(t)
        beforeT = t
        const kind = kindOf(k)
        if (kind === 0) {
          const pc = pcOf(k)
          if (executed[pc] === 0) first[pc] = firstStep + k
          executed[pc] = (executed[pc] ?? 0) + 1
          last[pc] = firstStep + k
          before = pc
        } else if (kind === 2) {
          before = (pcOf(k) - 1) & 0xffff
          waits[before] = (waits[before] ?? 0) + 1
        } else {
          interrupts.steps += 1
          before = -1
        }
        const sp = spOf(k)
        if (sp < lowestSp) {
          lowestSp = sp
          lowestSpStep = firstStep + k
        }
      }
    })
    const end = replay.seek(to)
    close(end.tStates)
    const { sp } = end.registers()
    this.tStates = end.tStates - startT
    this.lowestSp = Math.min(lowestSp, sp)
    this.lowestSpStep = sp < lowestSp ? to : lowestSpStep
  }
}
