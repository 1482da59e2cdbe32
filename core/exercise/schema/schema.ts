import { documentProblem, foundText, nearestSpelling, type Path, type Report } from './problem.ts'

/** Plain data, as JSON has it. */
export type Json = string | number | boolean | null | readonly Json[] | { readonly [name: string]: Json }

/** A JSON Schema (2020-12) as plain data. */
export type JsonSchema = { readonly [keyword: string]: Json }

/**
 * What may stand at one place of a document. The one description reads values, gives the JSON Schema and the text of the
 * reference page, so the three cannot disagree.
 */
export interface Schema<T> {
  /** What is allowed, to stand after "allowed": `a whole number from 0 to 255`. */
  readonly allowed: string
  /** Schemas that this one holds: the reference page walks along them. */
  readonly parts: readonly Schema<unknown>[]
  /** The value, or undefined after at least one problem went to `report`. Reading a value read before gives it again. */
  read(value: unknown, path: Path, report: Report): T | undefined
  /** Named schemas put themselves into `definitions` and give a reference. */
  json(definitions: Map<string, JsonSchema>): JsonSchema
}

/** The type of what a schema reads. */
export type Read<S> = S extends Schema<infer T> ? T : never

/** A schema for one plain value. `accept` gives undefined for what is not allowed. */
export function scalar<T>(allowed: string, json: JsonSchema, accept: (value: unknown) => T | undefined): Schema<T> {
  return {
    allowed,
    parts: [],
    json: () => json,
    read(value, path, report) {
      const accepted = accept(value)
      if (accepted === undefined) {
        report(documentProblem(path, value === undefined ? 'missing' : 'wrong-value', foundText(value), allowed))
      }
      return accepted
    },
  }
}

/** Text of `min` to `max` characters (both allowed). */
export function text(min = 1, max = 20_000): Schema<string> {
  const allowed = min === 0 ? `text of at most ${max} characters` : `text of ${min} to ${max} characters`
  return scalar(allowed, { type: 'string', minLength: min, maxLength: max }, (value) =>
    typeof value === 'string' && value.length >= min && value.length <= max ? value : undefined,
  )
}

/** A short name: letters, digits, hyphens; begins with a letter or digit; at most 40 characters. */
export const name: Schema<string> = scalar(
  'a short name of letters, digits and hyphens',
  { type: 'string', pattern: '^[A-Za-z0-9][A-Za-z0-9-]{0,39}$' },
  (value) => (typeof value === 'string' && /^[A-Za-z0-9][A-Za-z0-9-]{0,39}$/.test(value) ? value : undefined),
)

/** A number between `min` and `max`, both allowed. */
export function number(min: number, max: number): Schema<number> {
  return scalar(`a number from ${min} to ${max}`, { type: 'number', minimum: min, maximum: max }, (value) =>
    typeof value === 'number' && value >= min && value <= max ? value : undefined,
  )
}

/** Yes or no. */
export const flag: Schema<boolean> = scalar('true or false', { type: 'boolean' }, (value) =>
  typeof value === 'boolean' ? value : undefined,
)

/** One word of a list. A word that is nearly one of them gets a suggestion. */
export function choice<const C extends string>(choices: readonly C[]): Schema<C> {
  const allowed = choices.length === 1 ? String(choices[0]) : `one of ${choices.join(', ')}`
  return {
    allowed,
    parts: [],
    json: () => ({ enum: choices }),
    read(value, path, report) {
      const chosen = choices.find((item) => item === value)
      if (chosen === undefined) {
        const near = typeof value === 'string' ? nearestSpelling(value, choices) : null
        report(documentProblem(path, value === undefined ? 'missing' : 'wrong-value', foundText(value), allowed, near))
      }
      return chosen
    },
  }
}

/** A list of `min` to `max` items. */
export function list<T>(item: Schema<T>, min = 0, max = 1000): Schema<readonly T[]> {
  const allowed = `a list of ${min} to ${max}, each ${item.allowed}`
  return {
    allowed,
    parts: [item],
    json: (definitions) => ({ type: 'array', minItems: min, maxItems: max, items: item.json(definitions) }),
    read(value, path, report) {
      if (!Array.isArray(value) || value.length < min || value.length > max) {
        report(documentProblem(path, value === undefined ? 'missing' : 'wrong-value', foundText(value), allowed))
        return undefined
      }
      const items = value.map((each: unknown, i) => item.read(each, [...path, i], report))
      const good = items.filter((each) => each !== undefined)
      return good.length === items.length ? good : undefined
    },
  }
}

/** Fields of any name that `pattern` takes, all of one kind, at most 100 of them. */
export function dictionary<T>(
  pattern: RegExp,
  nameAllowed: string,
  item: Schema<T>,
  known: readonly string[] = [],
): Schema<Readonly<Record<string, T>>> {
  const allowed = `fields named by ${nameAllowed}, each ${item.allowed}`
  return {
    allowed,
    parts: [item],
    json: (definitions) => ({
      type: 'object',
      maxProperties: 100,
      propertyNames: { pattern: pattern.source },
      additionalProperties: item.json(definitions),
    }),
    read(value, path, report) {
      if (!isFields(value) || Object.keys(value).length > 100) {
        report(documentProblem(path, value === undefined ? 'missing' : 'wrong-value', foundText(value), allowed))
        return undefined
      }
      const result: [string, T][] = []
      let isGood = true
      for (const [key, each] of Object.entries(value)) {
        if (!pattern.test(key)) {
          const near = nearestSpelling(key, known)
          report(documentProblem([...path, key], 'unknown-field', `'${key}'`, nameAllowed, near))
          isGood = false
          continue
        }
        const read = item.read(each, [...path, key], report)
        if (read === undefined) isGood = false
        else result.push([key, read])
      }
      return isGood ? Object.fromEntries(result) : undefined
    },
  }
}

/** A plain group of named fields, not a list and not null. */
export function isFields(value: unknown): value is Readonly<Record<string, unknown>> {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}
