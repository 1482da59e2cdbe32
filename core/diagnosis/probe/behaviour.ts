import { eventCode, glyphOf, isDisplayDark, type BoardProfile, type EventLog } from '../../board/index.ts'
import type { Addr, TState } from '../../cpu/index.ts'
import { openValues, registerValue, type CaseRun, type Exercise, type RegisterName } from '../../exercise/index.ts'
import type { Image } from '../../image/index.ts'
import type { RunEnd } from '../../run/index.ts'

/** What a run did that somebody could have noticed. */
export interface Behaviour {
  readonly end: RunEnd['kind']
  readonly memory: Uint8Array
  readonly memoryBefore: Uint8Array
  /** Registers that a check of the exercise looks at, and SP. Of F the flags that one looks at. */
  readonly registers: ReadonlyMap<RegisterName, number>
  /** For each digit what an eye saw in it, one after the other. */
  readonly seen: readonly string[]
  readonly isDarkAtEnd: boolean
  readonly heard: { readonly edges: number; readonly from: TState; readonly to: TState; readonly level: number }
  /** What was written to the lamps, repeats left out. */
  readonly lamps: string
  readonly isTimed: boolean
  readonly stackFrom: Addr
  readonly stackTo: Addr
  /** Where a check takes several values for right, and what is there is one of them. */
  readonly right: { readonly bytes: ReadonlySet<Addr>; readonly registers: ReadonlySet<RegisterName> }
}

/** Where two runs of the same case differ first. */
export type Difference =
  | { readonly kind: 'end'; readonly wanted: RunEnd['kind']; readonly found: RunEnd['kind'] }
  /** Bytes from `at` on; `isLeftAlone` where the model answer does not change them. */
  | { readonly kind: 'memory'; readonly at: Addr; readonly length: number; readonly isLeftAlone: boolean }
  | { readonly kind: 'register'; readonly register: RegisterName; readonly wanted: number; readonly found: number }
  /** `sign` is what the model answer showed last in every digit; the others are patterns of segments in one digit. */
  | {
      readonly kind: 'digits'
      readonly digit: number
      readonly sign: string
      readonly wanted: string
      readonly found: string
    }
  | { readonly kind: 'dark'; readonly sign: string; readonly wanted: boolean }
  | { readonly kind: 'speaker'; readonly wanted: number; readonly found: number }
  | { readonly kind: 'speaker-time'; readonly wanted: TState; readonly found: TState }
  | { readonly kind: 'speaker-level'; readonly wanted: number; readonly found: number }
  | { readonly kind: 'lamps' }

/** Bytes below the start of the stack that any program may leave changed: what checks of memory spare too. */
export const stackBytes = 64
/** Differences that no check finds unless it is told to be stricter: its usual tolerances. */
const edgeTolerance = 0.02
const timeTolerance = 0.01
/** What shows for a smaller part of the time that any digit is lit is a glimpse and does not count. */
const glimpse = 0.05

/** Bits of F by their names in a document. */
export const flagBits: Readonly<Record<string, number>> = { s: 128, z: 64, y: 32, h: 16, x: 8, pv: 4, n: 2, c: 1 }

/** Which registers matter on a case: those that a check names, and SP; the mask says which bits of F. */
export function registersThatMatter(
  { checks }: Pick<Exercise, 'checks'>,
  caseId: string,
): { readonly names: readonly RegisterName[]; readonly flags: number } {
  const names = new Set<string>(['sp'])
  let flags = 0
  for (const check of checks) {
    if (check.cases !== null && !check.cases.includes(caseId)) continue
    if (check.kind === 'registers-kept') for (const name of check['registers'] as readonly string[]) names.add(name)
    const want = check['want']
    if (typeof want !== 'object' || want === null) continue
    if (check.kind === 'registers') for (const name of Object.keys(want)) names.add(name)
    if (check.kind === 'flags') for (const name of Object.keys(want)) flags |= flagBits[name] ?? 0
  }
  return { names: [...names] as RegisterName[], flags }
}

/** Kinds of check that look at time: where one of them decides, it has said which times are right. */
const timedKinds = ['t-states', 'speaker', 'digits-seen']

/** What a run did, as far as it can be noticed. A copy: it holds when the run's memory is used again. */
export function behaviourOf(exercise: Exercise, run: CaseRun, caseId: string): Behaviour {
  const { result, profile, request } = run
  const { names, flags } = registersThatMatter(exercise, caseId)
  const registers = new Map(names.map((name) => [name, registerValue(result.registers, name)] as const))
  if (flags !== 0) registers.set('f', result.registers.af & flags)
  const stackTo = request.given.registers.sp ?? profile.layout.stackTop
  return {
    end: result.end.kind,
    memory: result.memory.slice(),
    memoryBefore: run.initial().memory,
    registers,
    seen: seenIn(run),
    isDarkAtEnd: isDisplayDark(result.events, profile, result.tStates),
    heard: heardIn(result.events),
    lamps: lampsOf(result.events, profile),
    isTimed: exercise.checks.some(
      ({ kind, cases }) => timedKinds.includes(kind) && (cases === null || cases.includes(caseId)),
    ),
    stackFrom: stackTo - stackBytes,
    stackTo,
    right: rightIn(exercise, run, caseId),
  }
}

function rightIn(exercise: Exercise, run: CaseRun, caseId: string): Behaviour['right'] {
  const right = { bytes: new Set<Addr>(), registers: new Set<RegisterName>() }
  for (const { place, isRight } of openValues(exercise, run.profile, caseId, () => run.model())) {
    if (!isRight(run.result)) continue
    if (place.kind === 'register') right.registers.add(place.register)
    else for (let i = 0; i < place.length; i++) right.bytes.add(place.at + i)
  }
  return right
}

function seenIn(run: CaseRun): readonly string[] {
  const lit = run.digits().filter(({ state }) => state !== 'dark')
  const byDigit = Array.from({ length: run.profile.display.digits }, (_, digit) =>
    lit.filter((span) => span.digit === digit),
  )
  const litTimes = byDigit.map((spans) => spans.reduce((sum, { from, to }) => sum + to - from, 0))
  const shortest = glimpse * Math.max(...litTimes)
  return byDigit.map((spans) => {
    const patterns = spans
      .filter(({ from, to }) => to - from > shortest)
      .map(({ segments }) => segments.toString(16).padStart(2, '0'))
    return patterns.filter((pattern, i) => pattern !== patterns[i - 1]).join(' ')
  })
}

function heardIn(events: EventLog): Behaviour['heard'] {
  let [edges, from, to, level] = [0, 0, 0, 0]
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) !== eventCode.speakerEdge) continue
    edges += 1
    to = events.timeAt(i)
    if (edges === 1) from = to
    level = events.valueAt(i)
  }
  return { edges, from, to, level }
}

function lampsOf(events: EventLog, { lamps }: BoardProfile): string {
  const values: number[] = []
  for (let i = 0; lamps !== null && i < events.length; i++) {
    if (events.codeAt(i) !== eventCode.portWrite || events.whereAt(i) !== lamps.port) continue
    if (values.at(-1) !== events.valueAt(i)) values.push(events.valueAt(i))
  }
  return values.join(' ')
}

/**
 * What an answer that does the same in a little more time and at other addresses does otherwise: which of two signs showed
 * longer than a glimpse, where a handler stands. No program is told by that.
 */
export interface Chance {
  readonly memory: ReadonlySet<Addr>
  readonly registers: ReadonlySet<RegisterName>
  readonly digits: ReadonlySet<number>
  readonly kinds: ReadonlySet<Difference['kind']>
}

export const noChance: Chance = { memory: new Set(), registers: new Set(), digits: new Set(), kinds: new Set() }

/** In what runs of the model answer and of answers that are as right differ. */
export function chanceBetween(model: Behaviour, others: readonly Behaviour[], programs: readonly Image[]): Chance {
  const [memory, registers] = [new Set<Addr>(), new Set<RegisterName>()]
  const [digits, kinds] = [new Set<number>(), new Set<Difference['kind']>()]
  const found: Chance = { memory, registers, digits, kinds }
  for (const other of others) {
    for (;;) {
      const difference = differenceBetween(model, other, programs, found)
      if (difference === null) break
      if (difference.kind === 'memory') for (let i = 0; i < difference.length; i++) memory.add(difference.at + i)
      else if (difference.kind === 'register') registers.add(difference.register)
      else if (difference.kind === 'digits') digits.add(difference.digit)
      else kinds.add(difference.kind)
    }
  }
  return found
}

/**
 * The first difference between what the model answer did and what another program did on the same case; null where nobody
 * could tell them apart. Bytes of the programs themselves and of the stack do not count, nor what is left to chance. Where
 * a check looks at times, it alone says which are right.
 */
export function differenceBetween(
  model: Behaviour,
  other: Behaviour,
  programs: readonly Image[],
  chance: Chance = noChance,
): Difference | null {
  if (model.end !== other.end && !chance.kinds.has('end')) {
    return { kind: 'end', wanted: model.end, found: other.end }
  }
  const isTold = (difference: Difference | null): boolean => difference !== null && !chance.kinds.has(difference.kind)
  const difference = [
    memoryDifference(model, other, programs, chance),
    registerDifference(model, other, chance),
    digitDifference(model, other, chance),
    darkDifference(model, other),
    ...speakerDifferences(model, other),
    model.lamps === other.lamps ? null : ({ kind: 'lamps' } as const),
  ].find(isTold)
  return difference ?? null
}

function memoryDifference(
  model: Behaviour,
  other: Behaviour,
  programs: readonly Image[],
  chance: Chance,
): Difference | null {
  const isSpared = (address: Addr): boolean =>
    (address >= model.stackFrom && address < model.stackTo) ||
    chance.memory.has(address) ||
    (model.right.bytes.has(address) && other.right.bytes.has(address)) ||
    programs.some(({ segments }) =>
      segments.some(({ start, bytes }) => address >= start && address < start + bytes.length),
    )
  const differs = (address: Addr): boolean =>
    address < 0x10000 && model.memory[address] !== other.memory[address] && !isSpared(address)
  // Four bytes at a time: nearly all are equal.
  const [wanted, found] = [new Uint32Array(model.memory.buffer), new Uint32Array(other.memory.buffer)]
  let leftAlone: Difference | null = null
  for (let at = 0; at < 0x10000; at++) {
    if ((at & 3) === 0) while (at < 0x10000 && wanted[at >> 2] === found[at >> 2]) at += 4
    if (!differs(at)) continue
    let length = 1
    while (differs(at + length)) length += 1
    const isLeftAlone = model.memory[at] === model.memoryBefore[at]
    // What the model answer makes says more than what it leaves alone.
    if (!isLeftAlone) return { kind: 'memory', at, length, isLeftAlone }
    leftAlone ??= { kind: 'memory', at, length, isLeftAlone }
    at += length - 1
  }
  return leftAlone
}

function registerDifference(model: Behaviour, other: Behaviour, { registers }: Chance): Difference | null {
  for (const [register, wanted] of model.registers) {
    const found = other.registers.get(register) ?? 0
    if (model.right.registers.has(register) && other.right.registers.has(register)) continue
    if (found !== wanted && !registers.has(register)) return { kind: 'register', register, wanted, found }
  }
  return null
}

function digitDifference(model: Behaviour, other: Behaviour, { digits }: Chance): Difference | null {
  const digit = model.seen.findIndex((seen, i) => seen !== other.seen[i] && !digits.has(i))
  if (digit < 0) return null
  const [wanted = '', found = ''] = [model.seen[digit], other.seen[digit]]
  return { kind: 'digits', digit, sign: signOf(model.seen), wanted, found }
}

function darkDifference(model: Behaviour, other: Behaviour): Difference | null {
  if (model.isDarkAtEnd === other.isDarkAtEnd) return null
  return { kind: 'dark', sign: signOf(model.seen), wanted: model.isDarkAtEnd }
}

/** The last glyph of each digit; a blank where there never was one. */
function signOf(seen: readonly string[]): string {
  const glyphs = seen.map((patterns) => {
    const last = patterns
      .trim()
      .split(' ')
      .findLast((pattern) => pattern !== '00' && pattern !== '')
    return last === undefined ? ' ' : glyphOf(Number.parseInt(last, 16))
  })
  return glyphs.join('').trimEnd() || ' '
}

function speakerDifferences({ heard: model, isTimed }: Behaviour, { heard: other }: Behaviour): readonly Difference[] {
  const found: Difference[] = []
  if (Math.abs(model.edges - other.edges) > edgeTolerance * model.edges) {
    found.push({ kind: 'speaker', wanted: model.edges, found: other.edges })
  }
  if (model.level !== other.level) found.push({ kind: 'speaker-level', wanted: model.level, found: other.level })
  const [wanted, time] = [model.to - model.from, other.to - other.from]
  if (!isTimed && Math.abs(wanted - time) > timeTolerance * wanted) {
    found.push({ kind: 'speaker-time', wanted, found: time })
  }
  return found
}
