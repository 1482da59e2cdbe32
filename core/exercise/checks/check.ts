import type { BoardProfile } from '../../board/index.ts'
import type { Addr, Registers } from '../../cpu/index.ts'
import type { RunResult, UndefinedUse } from '../../run/index.ts'
import type { RegisterName } from '../case.ts'
import type { CaseRun, Moment } from '../case-run.ts'
import {
  choice,
  either,
  object,
  type Fields,
  type JsonSchema,
  type ObjectSchema,
  type Path,
  type ReadFields,
  type Report,
  type Schema,
} from '../schema/index.ts'

/** How a check came out on one run. Figures are words with their units. */
export interface Verdict {
  readonly outcome: 'passed' | 'failed' | 'out-of-tolerance'
  readonly measured: string
  readonly wanted: string
  readonly tolerance: string | null
  /** A sentence for the student. */
  readonly message: string
  /** Where it was decided. */
  readonly at: Moment
  /** How many of its parts are right, counted when asked; left out where it has none. */
  readonly parts?: () => Parts
}

/** Bytes, registers, signs, tones, keys: what a check can be right about one by one. */
export interface Parts {
  readonly right: number
  readonly of: number
  /** Those that were right before the program ran: they earn nothing. */
  readonly before: number
  /** Those that are right but stand in the wrong place, one of another or one nearby: each earns half. */
  readonly outOfPlace?: number
  /** What they are called, where it is not the kind's own name for them. */
  readonly what?: string
}

/** A place that a check looks at when a run has ended. */
export type WantedPlace =
  | { readonly kind: 'bytes'; readonly at: Addr; readonly length: number }
  | { readonly kind: 'register'; readonly register: RegisterName }

/** What a check wants to find there. */
export interface WantedValue {
  readonly place: WantedPlace
  /** Whether a single value is right; else two right answers may leave different ones. */
  readonly isOne: boolean
  isRight(held: HeldAtEnd): boolean
}

/** What a machine holds when a run has ended. */
export interface HeldAtEnd {
  readonly memory: Uint8Array
  readonly registers: Registers
}

/** A check whose fields have been read for one case. */
export interface PreparedCheck {
  /** Needs every memory write as an event. */
  readonly isWatchingWrites: boolean
  /** Compares with the model answer's run. */
  readonly needsModel: boolean
  /** Has no answer when the program did not stop by itself. */
  readonly needsEnd: boolean
  /** It looks at what a run did, and not at the bytes handed in alone. */
  readonly needsRun: boolean
  /** Its verdict, and not only the place of it, takes a recorded run. */
  readonly needsRecording: boolean
  /** What deciding it takes: 0 a look at the end, 1 a walk over the events, 2 another run, 3 a recording. */
  readonly cost: 0 | 1 | 2 | 3
  /** What is wanted, as a sentence without its full stop. */
  describe(profile: BoardProfile): string
  /** What does not fit the board (a routine it does not have, more glyphs than digits), as sentences. */
  misfits(profile: BoardProfile): readonly string[]
  evaluate(run: CaseRun): Verdict
  /** Whether it needs the end and may yet be credited on a run that has none: what stands in memory then is a fact. */
  isCreditedWithoutEnd(run: CaseRun): boolean
  /** What it wants to find at the end; `model` gives the model answer's run of the case. */
  wants(profile: BoardProfile, model: () => RunResult | null): readonly WantedValue[]
  /** Places in which more than one value is right, so that two right answers may leave different ones. */
  readonly open: readonly WantedPlace[]
  /**
   * Whether a verdict that it passed may be chance, though nothing that the program decided hung on chance: it compares
   * something that nothing set. Only for a run that was followed (`undefinedUse`).
   */
  mayBeChance(run: CaseRun): boolean
}

/** A kind of check: one file in this folder. */
export interface CheckKind {
  readonly name: string
  /** Two or three words for what it looks at; all that a student learns of a hidden check. */
  readonly category: string
  /** Fields of its own as a document would write them: lines of YAML, for Bench-8. */
  readonly example: readonly string[]
  readonly schema: ObjectSchema<Fields>
  /** Has no answer when the program did not stop by itself. */
  readonly needsEnd: boolean
  /** May look at another moment than the end (`when`). */
  readonly isOfMoment: boolean
  /** What its parts are called, in the singular; null where it has none, and may not give marks by them. */
  readonly part: string | null
  /** It looks at what a run did, and not at the bytes handed in alone. */
  readonly needsRun: boolean
  /** It looks at which instructions were executed, how long they took and how the run ended, and at no value. */
  readonly isOfPath: boolean
  read(fields: unknown, path: Path, report: Report): PreparedCheck | undefined
}

/** How the author of a kind writes it down. */
interface Definition<F extends Fields> {
  readonly name: string
  readonly category: string
  readonly about: string
  readonly example: readonly string[]
  readonly fields: F
  readonly needsEnd: boolean
  readonly isOfMoment?: boolean
  readonly needsRun?: boolean
  readonly isOfPath?: boolean
  readonly part?: string
  readonly isCreditedWithoutEnd?: (run: CaseRun) => boolean
  readonly needsRecording?: (check: ReadFields<F>) => boolean
  readonly cost?: 0 | 1 | 2 | 3
  readonly isWatchingWrites?: (check: ReadFields<F>) => boolean
  readonly needsModel?: (check: ReadFields<F>) => boolean
  readonly misfits?: (check: ReadFields<F>, profile: BoardProfile) => readonly string[]
  readonly describe: (check: ReadFields<F>, profile: BoardProfile) => string
  readonly evaluate: (check: ReadFields<F>, run: CaseRun) => Verdict
  readonly wants?: (
    check: ReadFields<F>,
    profile: BoardProfile,
    model: () => RunResult | null,
  ) => readonly WantedValue[]
  readonly open?: (check: ReadFields<F>) => readonly WantedPlace[]
  readonly mayBeChance?: (check: ReadFields<F>, run: CaseRun, use: UndefinedUse) => boolean
}

/** Makes a kind of check from its parts. */
export function checkKind<F extends Fields>(definition: Definition<F>): CheckKind {
  const schema = object(`check-${definition.name}`, definition.about, definition.fields)
  return {
    name: definition.name,
    category: definition.category,
    example: definition.example,
    schema,
    needsEnd: definition.needsEnd,
    isOfMoment: definition.isOfMoment ?? false,
    needsRun: definition.needsRun ?? true,
    isOfPath: definition.isOfPath ?? false,
    part: definition.part ?? null,
    read(fields, path, report) {
      const check = schema.read(fields, path, report)
      if (check === undefined) return undefined
      return {
        needsRun: definition.needsRun ?? true,
        isWatchingWrites: definition.isWatchingWrites?.(check) ?? false,
        needsModel: definition.needsModel?.(check) ?? false,
        needsEnd: definition.needsEnd,
        needsRecording: definition.needsRecording?.(check) ?? false,
        cost: definition.needsRecording?.(check) === true ? 3 : (definition.cost ?? 0),
        misfits: (profile) => definition.misfits?.(check, profile) ?? [],
        describe: (profile) => definition.describe(check, profile),
        evaluate: (run) => definition.evaluate(check, run),
        isCreditedWithoutEnd: (run) => definition.isCreditedWithoutEnd?.(run) ?? false,
        wants: (profile, model) => definition.wants?.(check, profile, model) ?? [],
        open: definition.open?.(check) ?? [],
        mayBeChance: (run) => {
          const use = run.result.undefinedUse
          return use !== undefined && definition.mayBeChance?.(check, run, use) === true
        },
      }
    },
  }
}

const isReference = (value: unknown): boolean => typeof value === 'string' && value.startsWith('$')

const reference: Schema<never> = {
  allowed: 'a value of the case, or a constant, as `$name`',
  parts: [],
  json: () => ({ type: 'string', pattern: '^\\$[a-z][A-Za-z0-9]{0,30}$' }),
  // Values of the case stand in their places before a check is read, so there is never one left to take.
  read: () => undefined,
}

/** A field that may also be written `$name`: the case's own value, put in its place before the check is read. */
export function orOfCase<T>(schema: Schema<T>): Schema<T> {
  return {
    ...schema,
    json: (definitions) => {
      const name = reference.json(definitions)
      return { anyOf: [name, withNames(schema.json(definitions), name)] }
    },
    allowed: `${schema.allowed}, or \`$name\``,
  }
}

/** The same form, with a name allowed for each item where it is a list. */
function withNames(json: JsonSchema, name: JsonSchema): JsonSchema {
  const { anyOf, items } = json
  if (Array.isArray(anyOf))
    return { ...json, anyOf: (anyOf as readonly JsonSchema[]).map((each) => withNames(each, name)) }
  return items === undefined ? json : { ...json, items: { anyOf: [name, items] } }
}

/** A field that may also be the word `model`: what the model answer's run gave. */
export function orModel<T>(schema: Schema<T>): Schema<T | 'model'> {
  return orOfCase(either(choice(['model']), (value) => typeof value === 'string' && /^mod/.test(value), schema))
}

/** Puts the values of a case where `$name` stands, however deep. `unknownName` hears of names that the case does not have. */
export function withCaseValues(
  value: unknown,
  values: Readonly<Record<string, unknown>>,
  unknownName: (name: string, path: Path) => void,
  path: Path = [],
): unknown {
  if (isReference(value)) {
    const name = String(value).slice(1)
    if (Object.hasOwn(values, name)) return values[name]
    unknownName(name, path)
    return undefined
  }
  if (Array.isArray(value)) return value.map((each, i) => withCaseValues(each, values, unknownName, [...path, i]))
  if (typeof value !== 'object' || value === null) return value
  return Object.fromEntries(
    Object.entries(value).map(([key, each]) => [key, withCaseValues(each, values, unknownName, [...path, key])]),
  )
}

/** The same verdict with its parts: how many are right, of how many, and more about them that takes counting. */
export function withParts(
  verdict: Verdict,
  right: number,
  of: number,
  more: () => Partial<Parts> = () => ({}),
): Verdict {
  return { ...verdict, parts: () => ({ right, of, before: 0, ...more() }) }
}

/** A verdict that the check holds. */
export function passed(measured: string, wanted: string, tolerance: string | null, at: Moment): Verdict {
  return { outcome: 'passed', measured, wanted, tolerance, message: `Right: ${measured}.`, at }
}

/** A verdict that it does not. */
export function failed(measured: string, wanted: string, message: string, at: Moment): Verdict {
  return { outcome: 'failed', measured, wanted, tolerance: null, message, at }
}

/** A verdict that a figure lies outside its limits. */
export function outOfTolerance(
  measured: string,
  wanted: string,
  tolerance: string | null,
  message: string,
  at: Moment,
): Verdict {
  return { outcome: 'out-of-tolerance', measured, wanted, tolerance, message, at }
}
