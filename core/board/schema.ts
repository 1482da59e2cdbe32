/**
 * The part of JSON Schema that core's documents are written in. An object takes the properties listed, or any name if
 * `additionalProperties` says what its value must be; nothing else (`closed` says so for other readers).
 */
export interface Schema {
  readonly $schema?: string
  readonly title?: string
  readonly description?: string
  readonly type?: 'object' | 'array' | 'string' | 'integer' | 'number' | 'boolean' | 'null'
  readonly enum?: readonly (string | number)[]
  readonly properties?: Readonly<Record<string, Schema>>
  readonly additionalProperties?: Schema | false
  readonly required?: readonly string[]
  readonly items?: Schema
  readonly minItems?: number
  readonly maxItems?: number
  readonly minLength?: number
  readonly maxLength?: number
  readonly pattern?: string
  readonly minimum?: number
  readonly maximum?: number
  readonly anyOf?: readonly Schema[]
}

/** Something wrong in a document. `path` leads to it from the root: `['display', 'digitBits', 2]`. */
export interface DocumentProblem {
  readonly path: readonly (string | number)[]
  /** `missing`, `unknown-name`, `wrong-kind`, `out-of-range`, `not-allowed`, or a name of the document's own rules. */
  readonly code: string
  readonly found: string
  readonly allowed: string
  readonly message: string
}

/** The schema with `additionalProperties: false` written out wherever names are listed. */
export function closed(schema: Schema): Schema {
  const { properties, additionalProperties, items, anyOf } = schema
  const inside = properties === undefined ? [] : Object.entries(properties).map(([name, rule]) => [name, closed(rule)])
  return {
    ...schema,
    ...(properties === undefined ? {} : { properties: Object.fromEntries(inside), additionalProperties: false }),
    ...(additionalProperties ? { additionalProperties: closed(additionalProperties) } : {}),
    ...(items === undefined ? {} : { items: closed(items) }),
    ...(anyOf === undefined ? {} : { anyOf: anyOf.map(closed) }),
  }
}

type Path = readonly (string | number)[]

/** Everything in `value` that the schema does not allow, in document order; empty when it fits. */
export function problemsBySchema(value: unknown, schema: Schema, path: Path = []): DocumentProblem[] {
  if (schema.anyOf !== undefined) {
    const answers = schema.anyOf.map((choice) => problemsBySchema(value, choice, path))
    // The choice that speaks of the same kind of value knows best what is wrong in it.
    return (
      answers.find((problems) => problems.length === 0) ??
      answers.find((problems) => !isWrongKind(problems, path)) ??
      answers[0] ??
      []
    )
  }
  if (schema.enum !== undefined) {
    if (schema.enum.some((choice) => choice === value)) return []
    return [problem(path, 'not-allowed', value, schema.enum.map((choice) => `${choice}`).join(', '))]
  }
  switch (schema.type) {
    case 'object':
      return isRecord(value) ? objectProblems(value, schema, path) : [wrongKind(path, value, 'an object')]
    case 'array':
      return Array.isArray(value) ? arrayProblems(value, schema, path) : [wrongKind(path, value, 'a list')]
    case 'string':
      return typeof value === 'string' ? stringProblems(value, schema, path) : [wrongKind(path, value, 'text')]
    case 'boolean':
      return typeof value === 'boolean' ? [] : [wrongKind(path, value, 'true or false')]
    case 'null':
      return value === null ? [] : [wrongKind(path, value, 'null')]
    case 'integer':
    case 'number':
      return numberProblems(value, schema, path)
    case undefined:
      return []
  }
}

/** A sentence with the place in front: `display.digitBits[2]: found 9; allowed: a whole number from 0 to 7`. */
export function problem(path: Path, code: string, value: unknown, allowed: string): DocumentProblem {
  const found = describe(value)
  return { path, code, found, allowed, message: `${placeName(path)}: found ${found}; allowed: ${allowed}` }
}

function placeName(path: Path): string {
  const name = path.map((key) => (typeof key === 'number' ? `[${key}]` : `.${key}`)).join('')
  return name === '' ? 'the document' : name.replace(/^\./, '')
}

function describe(value: unknown): string {
  if (value === undefined) return 'nothing'
  if (Array.isArray(value)) return `a list of ${value.length}`
  if (isRecord(value)) return 'an object'
  const text = JSON.stringify(value) ?? typeof value
  return text.length > 60 ? `${text.slice(0, 57)}…` : text
}

function isWrongKind(problems: readonly DocumentProblem[], path: Path): boolean {
  return problems.some(({ code, path: at }) => code === 'wrong-kind' && at.length === path.length)
}

function wrongKind(path: Path, value: unknown, allowed: string): DocumentProblem {
  return problem(path, 'wrong-kind', value, allowed)
}

function isRecord(value: unknown): value is Record<string, unknown> {
  return typeof value === 'object' && value !== null && !Array.isArray(value)
}

function objectProblems(value: Record<string, unknown>, schema: Schema, path: Path): DocumentProblem[] {
  const known = schema.properties ?? {}
  const names = Object.keys(known).join(', ')
  const missing = (schema.required ?? [])
    .filter((name) => !Object.hasOwn(value, name))
    .map((name) => problem([...path, name], 'missing', undefined, 'a value, this one must be given'))
  const inside = Object.entries(value).flatMap(([name, part]) => {
    const rule = Object.hasOwn(known, name) ? known[name] : schema.additionalProperties
    return rule === undefined || rule === false
      ? [problem([...path, name], 'unknown-name', name, names)]
      : problemsBySchema(part, rule, [...path, name])
  })
  return [...missing, ...inside]
}

function arrayProblems(value: readonly unknown[], schema: Schema, path: Path): DocumentProblem[] {
  const least = schema.minItems ?? 0
  const most = schema.maxItems ?? Infinity
  if (value.length < least || value.length > most)
    return [problem(path, 'out-of-range', value, `a list of ${least} to ${most}`)]
  const { items } = schema
  return items === undefined ? [] : value.flatMap((item, index) => problemsBySchema(item, items, [...path, index]))
}

function stringProblems(value: string, schema: Schema, path: Path): DocumentProblem[] {
  const least = schema.minLength ?? 0
  const most = schema.maxLength ?? Infinity
  if (value.length < least || value.length > most)
    return [problem(path, 'out-of-range', value, `${least} to ${most} characters`)]
  if (schema.pattern !== undefined && !new RegExp(schema.pattern, 'u').test(value))
    return [problem(path, 'not-allowed', value, schema.description ?? `text of the form ${schema.pattern}`)]
  return []
}

function numberProblems(value: unknown, schema: Schema, path: Path): DocumentProblem[] {
  const kind = schema.type === 'integer' ? 'a whole number' : 'a number'
  const range = `${kind} from ${schema.minimum ?? '−∞'} to ${schema.maximum ?? '∞'}`
  if (typeof value !== 'number' || !Number.isFinite(value) || (schema.type === 'integer' && !Number.isInteger(value)))
    return [wrongKind(path, value, range)]
  const isInside = value >= (schema.minimum ?? -Infinity) && value <= (schema.maximum ?? Infinity)
  return isInside ? [] : [problem(path, 'out-of-range', value, range)]
}
