import { documentProblem, foundText, nearestSpelling } from './problem.ts'
import { isFields, type Json, type JsonSchema, type Schema } from './schema.ts'

/** One field of a group: what may stand there, what it means, and what holds when it is left out. */
export interface Field<T> {
  readonly schema: Schema<T>
  readonly about: string
  readonly isRequired: boolean
  /** Words for the reference page; null for a required field. */
  readonly otherwise: string | null
  readonly fallback: () => T
}

export type Fields = Readonly<Record<string, Field<unknown>>>

/** What a group of fields reads to: every field present, those left out with their fallback. */
export type ReadFields<F extends Fields> = { readonly [K in keyof F]: F[K] extends Field<infer T> ? T : never }

/** A schema for a group of fields; the reference page gives it a section of its own. */
export interface ObjectSchema<F extends Fields> extends Schema<ReadFields<F>> {
  readonly title: string
  readonly about: string
  readonly fields: F
}

/** A field that must be there. */
export function required<T>(schema: Schema<T>, about: string): Field<T> {
  const fallback = (): T => {
    throw new Error('a required field has no fallback')
  }
  return { schema, about, isRequired: true, otherwise: null, fallback }
}

/** A field that may be left out (or be null); `otherwise` tells a reader what then holds. */
export function optional<T, D = null>(
  schema: Schema<T>,
  about: string,
  fallback: D,
  otherwise = fallback === null ? 'nothing' : JSON.stringify(fallback),
): Field<T | D> {
  return { schema, about, isRequired: false, otherwise, fallback: () => fallback }
}

/** Makes the schema of a group of fields. `title` is its name in the JSON Schema's `$defs` and on the reference page. */
export function object<F extends Fields>(title: string, about: string, fields: F): ObjectSchema<F> {
  const names = Object.keys(fields)
  const allowed = names.length <= 14 ? `a group of the fields ${names.join(', ')}` : `the fields of ${title}`
  return {
    title,
    about,
    fields,
    allowed,
    parts: Object.values(fields).map((field) => field.schema),
    json(definitions) {
      if (!definitions.has(title)) {
        definitions.set(title, {})
        definitions.set(title, objectJson(about, fields, definitions))
      }
      return { $ref: `#/$defs/${title}` }
    },
    read(value, path, report) {
      if (!isFields(value)) {
        report(documentProblem(path, value === undefined ? 'missing' : 'wrong-value', foundText(value), allowed))
        return undefined
      }
      let isGood = true
      const free = names.filter((each) => !Object.hasOwn(value, each))
      for (const key of Object.keys(value)) {
        if (Object.hasOwn(fields, key)) continue
        isGood = false
        report(
          documentProblem([...path, key], 'unknown-field', `'${key}'`, names.join(', '), nearestSpelling(key, free)),
        )
      }
      const result: Record<string, unknown> = {}
      for (const [key, field] of Object.entries(fields)) {
        const given = Object.hasOwn(value, key) ? value[key] : undefined
        if (!field.isRequired && (given === undefined || given === null)) {
          result[key] = field.fallback()
          continue
        }
        const read = field.schema.read(given ?? undefined, [...path, key], report)
        if (read === undefined) isGood = false
        result[key] = read
      }
      // Each value was read by the schema of its own field just above.
      return isGood ? (result as ReadFields<F>) : undefined
    },
  }
}

function objectJson(about: string, fields: Fields, definitions: Map<string, JsonSchema>): JsonSchema {
  const properties: Record<string, Json> = {}
  for (const [key, field] of Object.entries(fields)) {
    properties[key] = { ...field.schema.json(definitions), description: field.about }
  }
  return {
    type: 'object',
    description: about,
    properties,
    required: Object.keys(fields).filter((key) => fields[key]?.isRequired),
    additionalProperties: false,
  }
}

/** The first of several schemas whose `isFor` takes the value decides; its problems are the ones reported. */
export function either<A, B>(
  first: Schema<A>,
  isForFirst: (value: unknown) => boolean,
  second: Schema<B>,
): Schema<A | B> {
  return {
    allowed: `${first.allowed}, or ${second.allowed}`,
    parts: [first, second],
    json: (definitions) => ({ anyOf: [first.json(definitions), second.json(definitions)] }),
    read: (value, path, report) =>
      isForFirst(value) ? first.read(value, path, report) : second.read(value, path, report),
  }
}

/** True for a schema made by `object`. */
export function isObjectSchema(schema: Schema<unknown>): schema is ObjectSchema<Fields> {
  return 'fields' in schema
}
