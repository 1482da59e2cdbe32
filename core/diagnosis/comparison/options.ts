import type { BoardProfile } from '../../board/index.ts'
import type { Addr, TState } from '../../cpu/index.ts'
import {
  blockOf,
  caseInstances,
  checkFields,
  exerciseFor,
  modelRun,
  openValues,
  type Exercise,
  type RegisterName,
  type WantedBytes,
  type WantedValue,
} from '../../exercise/index.ts'
import type { RunResult } from '../../run/index.ts'
import type { FlagName } from '../slice/why.ts'

export interface AddressSpan {
  readonly from: Addr
  readonly to: Addr
}

/** What counts when two runs are compared, and how exactly. Times are parts of the wanted time, 0.05 for 5 %. */
export interface CompareOptions {
  /** Bytes whose value at the end counts, both ends included; none unless given. The programs themselves never count. */
  readonly memory?: readonly AddressSpan[]
  /** Places in which more than one value is right: held against this, and not against what the wanted run left there. */
  readonly open?: readonly WantedValue[]
  /** Registers and flags whose value at the end counts; none unless given. */
  readonly registers?: readonly RegisterName[]
  readonly flags?: readonly FlagName[]
  /** How far an event may be from its time; 0.1 unless given, and 50 ms in any case. */
  readonly time?: number
  /** How far the frequency of a tone may be off; 0.02 unless given. */
  readonly frequency?: number
  /** How far its length may be off; 0.05 unless given. */
  readonly length?: number
  /** How far its duty may be off, in parts of the whole; anything unless given. */
  readonly duty?: number | null
  /** T-states that the run may take; as far from the wanted run's as `time` allows unless one of them is given. */
  readonly leastTStates?: number | null
  readonly mostTStates?: number | null
  /** Whether it counts that the speaker is left at the same level, and the display lit or dark; not unless given. */
  readonly isLevelMarked?: boolean
  readonly isDarkMarked?: boolean
  /** Times in which the digits may show anything. */
  readonly freeDigits?: readonly { readonly from: TState; readonly to: TState }[]
  /** The digits that count, from 0; all unless given. */
  readonly digits?: readonly number[]
}

/**
 * What an exercise looks at in one of its runs (`caseId` names an instance, as in a report), as options of a comparison:
 * marked memory, registers and tolerances out of its checks. `seed` as in grading.
 */
export function comparisonOptions(exercise: Exercise, profile: BoardProfile, caseId: string, seed = 0): CompareOptions {
  const own = exerciseFor(exercise, seed)
  const instance = caseInstances(own).find(({ id }) => id === caseId)
  if (instance === undefined) return {}
  const keys = instance.of.given?.keys ?? []
  const marks = new Marks(profile, keys.length > 0 ? keys : (own.given?.keys ?? []))
  for (const check of own.checks) {
    if (check.cases !== null && !check.cases.includes(instance.of.id)) continue
    const fields = checkFields(own, check, instance.of.id)
    if (fields !== null) marks.take(check.kind, fields)
  }
  const model = (): RunResult | null => modelRun(own, profile, caseId, seed)
  return { ...marks.options(), open: openValues(own, profile, instance.of.id, model) }
}

/** The spans with one stretch taken out of them. */
function without(spans: readonly AddressSpan[], out: AddressSpan): readonly AddressSpan[] {
  return spans.flatMap(({ from, to }) =>
    [
      { from, to: Math.min(to, out.from - 1) },
      { from: Math.max(from, out.to + 1), to },
    ].filter((span) => span.from <= span.to),
  )
}

interface Amount {
  readonly amount: number
  readonly unit: string
}

class Marks {
  readonly #profile: BoardProfile
  readonly #memory: AddressSpan[] = []
  readonly #spared: AddressSpan[] = []
  readonly #registers = new Set<RegisterName>()
  readonly #flags = new Set<FlagName>()
  #isRamMarked = false
  #frequency: number | null = null
  #length: number | null = null
  #duty: number | null = null
  #time: number | null = null
  #least: number | null = null
  #most: number | null = null
  #isLevelMarked = false
  #isDarkMarked = false

  readonly #keys: readonly { readonly at: Amount }[]
  readonly #digits = new Set<number>()
  readonly #freeDigits: { readonly from: TState; readonly to: TState }[] = []

  constructor(profile: BoardProfile, keys: readonly { readonly at: Amount }[]) {
    this.#profile = profile
    this.#keys = keys
  }

  take(kind: string, fields: Readonly<Record<string, unknown>>): void {
    switch (kind) {
      case 'memory':
        this.#takeMemory(fields)
        break
      case 'digit-buffer': {
        const { digitBuffer } = this.#profile.layout
        const length = ((fields['bytes'] ?? [...String(fields['glyphs'])]) as readonly unknown[]).length
        this.#memory.push({ from: digitBuffer, to: digitBuffer + length - 1 })
        break
      }
      case 'registers':
        for (const name of Object.keys(fields['want'] as object)) this.#registers.add(name as RegisterName)
        break
      case 'registers-kept':
        for (const name of fields['registers'] as readonly RegisterName[]) this.#registers.add(name)
        break
      case 'stack-balance':
        if (fields['balanced'] === true) this.#registers.add('sp')
        break
      case 'flags':
        for (const name of Object.keys(fields['want'] as object)) this.#flags.add(name as FlagName)
        break
      case 'speaker':
        if (fields['frequency'] !== null) this.#frequency = this.#part(fields['frequencyWithin'], fields['frequency'])
        if (fields['duration'] !== null) this.#length = this.#part(fields['durationWithin'], null)
        if (fields['edges'] !== null) this.#length ??= this.#part(fields['edgesWithin'], fields['edges'])
        if (fields['duty'] !== null) this.#duty = (fields['dutyWithin'] as number) / 50
        this.#isLevelMarked ||= fields['endLevel'] !== null
        break
      case 'tones-in-turn':
        this.#frequency = this.#part(fields['frequencyWithin'], null)
        if (fields['each'] !== null) this.#time = this.#length = this.#part(fields['eachWithin'], null)
        if (fields['lengths'] !== null) this.#time = this.#length = this.#part(fields['lengthsWithin'], null)
        break
      case 'signs-in-turn':
        this.#takeDigits(fields['signs'] as readonly string[], fields['digit'])
        if (fields['each'] !== null) this.#time = this.#part(fields['eachWithin'], null)
        break
      case 'shown-after-key':
        this.#takeFree(fields['signs'] as readonly string[])
        this.#takeDigits(fields['signs'] as readonly string[], fields['digit'])
        break
      case 'digits-seen':
        this.#isDarkMarked ||= fields['darkAtEnd'] === true
        this.#takeDigits([String(fields['glyphs'])], 1)
        break
      case 't-states':
        this.#takeTime(fields)
        break
    }
  }

  /** Digits behind the last glyph of a sign are free. */
  #takeDigits(signs: readonly string[], first: unknown): void {
    const length = Math.max(0, ...signs.map((sign) => [...sign].length))
    for (let i = 0; i < length; i++) this.#digits.add((typeof first === 'number' ? first : 1) - 1 + i)
  }

  /** A sign `*` is anything, from its key to the next. */
  #takeFree(signs: readonly string[]): void {
    const times = this.#keys.map(({ at }) => this.#tStates(at)).sort((a, b) => a - b)
    for (const [i, sign] of signs.entries()) {
      const from = times[i]
      if (sign === '*' && from !== undefined) this.#freeDigits.push({ from, to: times[i + 1] ?? Infinity })
    }
  }

  #takeTime(fields: Readonly<Record<string, unknown>>): void {
    const of = (name: string): number | null => {
      const amount = fields[name] as Amount | null
      return amount === null ? null : this.#tStates(amount)
    }
    const near = of('near')
    this.#most = of('max') ?? this.#most
    this.#least = of('min') ?? this.#least
    if (near === null) return
    const within = fields['within'] as Amount
    const distance = within.unit === '%' ? (near * within.amount) / 100 : this.#tStates(within)
    this.#least = Math.max(this.#least ?? 0, near - distance)
    this.#most = Math.min(this.#most ?? Infinity, near + distance)
  }

  #takeMemory(fields: Readonly<Record<string, unknown>>): void {
    for (const wanted of fields['want'] as readonly WantedBytes[]) {
      const length = wanted.bytes === 'model' ? wanted.length : blockOf(wanted, () => null).length
      this.#memory.push({ from: wanted.at, to: wanted.at + length - 1 })
    }
    if (fields['elsewhere'] !== 'unchanged' && fields['noOtherWrite'] !== true) return
    this.#isRamMarked = true
    this.#spared.push(...(fields['except'] as readonly AddressSpan[]))
    const { stackTop } = this.#profile.layout
    this.#spared.push({ from: stackTop - (fields['stackBytes'] as number), to: stackTop - 1 })
  }

  #part(within: unknown, of: unknown): number | null {
    const { amount, unit } = within as Amount
    // Two right answers may be off in opposite directions.
    if (unit === '%') return amount / 50
    return typeof of === 'number' && of > 0 && (unit === 'Hz' || unit === 'times') ? (2 * amount) / of : null
  }

  #tStates({ amount, unit }: Amount): number {
    const { clockHz } = this.#profile
    return amount * ({ T: 1, us: clockHz / 1e6, ms: clockHz / 1e3, s: clockHz }[unit] ?? 1)
  }

  options(): CompareOptions {
    const ram = this.#isRamMarked ? this.#profile.memory.filter(({ kind }) => kind === 'ram') : []
    return {
      memory: [...this.#memory, ...this.#spared.reduce<readonly AddressSpan[]>(without, ram)],
      registers: [...this.#registers],
      flags: [...this.#flags],
      leastTStates: this.#least,
      mostTStates: this.#most,
      isLevelMarked: this.#isLevelMarked,
      isDarkMarked: this.#isDarkMarked,
      freeDigits: this.#freeDigits,
      ...(this.#digits.size === 0 ? {} : { digits: [...this.#digits] }),
      duty: this.#duty,
      ...(this.#time === null ? {} : { time: this.#time }),
      ...(this.#frequency === null ? {} : { frequency: this.#frequency }),
      ...(this.#length === null ? {} : { length: this.#length }),
    }
  }
}
