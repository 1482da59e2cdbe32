import { withCaseValues } from './checks/check.ts'
import { drawsFrom, seedFrom } from './draw.ts'
import { plainValue } from './plain-value.ts'
import {
  choice,
  documentProblem,
  isFields,
  list,
  object,
  optional,
  required,
  scalar,
  whole,
  wholeNumber,
  word,
  type Json,
  type Path,
  type Read,
  type Report,
} from './schema/index.ts'

const namePattern = /^[a-z][A-Za-z0-9]{0,30}$/

const constantName = scalar(
  'a name that begins with a small letter, of letters and digits',
  { type: 'string', pattern: namePattern.source },
  (value) => (typeof value === 'string' && namePattern.test(value) ? value : undefined),
)

/** A value that every student gets drawn for themselves, from their seed. */
export const constant = object(
  'constant',
  'A value of which each student gets their own, drawn from their seed: an address, a number, a word to show.',
  {
    name: required(constantName, 'Its name: `$name` in cases and checks, `{name}` in texts, NAME in the model answer.'),
    from: optional(word, 'Smallest value.', null, 'give `of` instead'),
    to: optional(word, 'Largest value.', null, 'give `of` instead'),
    step: optional(whole(1, 0xffff), 'The distance from one value to the next.', 1),
    of: optional(list(plainValue, 1, 32), 'Or a list of values, one of which is drawn.', null, 'give `from` and `to`'),
    shown: optional(choice(['decimal', 'hex']), 'How texts write a number: 70, or 46h.', 'decimal' as const),
  },
)

export type Constant = Read<typeof constant>

/** Values by the name of their constant. */
export type ConstantValues = Readonly<Record<string, Json>>

/** How many values a constant may take. */
export function sizeOfRange({ from, to, step, of }: Constant): number {
  if (of !== null) return of.length
  return from === null || to === null || to < from ? 1 : Math.floor((to - from) / step) + 1
}

/** The value with a number, counted from 0; the last one where there are fewer. */
export function valueAt(each: Constant, index: number): Json {
  const at = Math.min(index, sizeOfRange(each) - 1)
  return each.of === null ? (each.from ?? 0) + at * each.step : (each.of[at] ?? null)
}

/** Each constant with the one value that it has, or its first. */
export function firstValues(constants: readonly Constant[]): ConstantValues {
  return Object.fromEntries(constants.map((each) => [each.name, valueAt(each, 0)]))
}

/** The values that a seed draws. Each constant has a stream of its own: adding one leaves the others as they were. */
export function drawnConstants(exerciseId: string, constants: readonly Constant[], seed: number): ConstantValues {
  return Object.fromEntries(
    constants.map((each) => {
      const draws = drawsFrom(seedFrom(exerciseId, each.name, seed, 'constant'))
      return [each.name, valueAt(each, draws.between(0, sizeOfRange(each) - 1))]
    }),
  )
}

/** A constant that has this value and no other. */
export function fixed(each: Constant, value: Json): Constant {
  return { ...each, from: null, to: null, of: [value] }
}

/** Every `{name}` of a text with the value in its place; what is no constant stays as it stands. */
export function filledText(text: string, constants: readonly Constant[], values: ConstantValues): string {
  return text.replace(/\{([a-z][A-Za-z0-9]{0,30})\}/g, (whole, name: string) => {
    const found = constants.find((each) => each.name === name)
    return found === undefined ? whole : shownText(found, values[name] ?? null)
  })
}

/** The names in braces of a text. */
export function namesIn(text: string): readonly string[] {
  return [...text.matchAll(/\{([a-z][A-Za-z0-9]{0,30})\}/g)].map((match) => match[1] ?? '')
}

function shownText({ shown, to }: Constant, value: Json): string {
  if (typeof value !== 'number' || shown === 'decimal') return Array.isArray(value) ? value.join(' ') : String(value)
  const digits = value.toString(16).toUpperCase()
  return `${digits.padStart(value > 0xff || (to ?? 0) > 0xff ? 4 : 2, '0')}h`
}

/** Those constants that are numbers, as names for an assembler. */
export function symbolsOf(constants: readonly Constant[]): Readonly<Record<string, number>> {
  return Object.fromEntries(
    constants.flatMap((each): [string, number][] => {
      const value = wholeNumber(valueAt(each, 0))
      return value === undefined || value > 0xffff ? [] : [[each.name, value]]
    }),
  )
}

/** The parts of a document in which `$name` of a constant may stand outside the checks. */
export interface WrittenParts {
  readonly given: Json
  readonly cases: Json
}

/** Those parts with values in place of the names. `report` hears of names that are no constants. */
export function placed(parts: WrittenParts, values: ConstantValues, report: Report): Record<string, unknown> {
  const known = Object.keys(values)
    .map((each) => `$${each}`)
    .join(', ')
  const unknown = (name: string, path: Path): void => report(documentProblem(path, 'unknown-name', `'$${name}'`, known))
  return {
    given: withCaseValues(parts.given, values, unknown, ['given']),
    cases: withCaseValues(parts.cases, values, unknown, ['cases']),
  }
}

/** Whether `$name` stands anywhere in a value. */
export function hasNames(value: unknown): boolean {
  if (typeof value === 'string') return /^\$[a-z][A-Za-z0-9]{0,30}$/.test(value)
  if (Array.isArray(value)) return value.some(hasNames)
  return isFields(value) && Object.values(value).some(hasNames)
}
