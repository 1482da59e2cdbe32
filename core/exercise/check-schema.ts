import { checkKinds, kindNamed } from './checks/index.ts'
import { when } from './when.ts'
import {
  choice,
  documentProblem,
  flag,
  isFields,
  list,
  name,
  nearestSpelling,
  number,
  object,
  optional,
  required,
  text,
  type Json,
  type Read,
  type Schema,
} from './schema/index.ts'

/** Fields that every check has, whatever its kind. */
const commonFields = {
  id: required(name, 'Its short name.'),
  kind: required(choice(checkKinds.map((kind) => kind.name)), 'What kind of check it is.'),
  title: required(text(1, 120), 'What a reader calls it.'),
  group: required(name, 'The group whose marks it shares.'),
  weight: optional(number(0.01, 1000), 'Its share of the marks of its group.', 1),
  visible: optional(flag, 'Students may see it and what it measured.', true),
  gate: optional(flag, 'When it fails, its group gets no marks at all: for what the task rules out.', false),
  cases: optional(list(name, 1, 64), 'The cases on which it is decided; all must pass.', null, 'all cases'),
  when: optional(when, 'Look at this moment of the run in place of its end.', null, 'its end'),
  credit: optional(
    choice(['whole', 'runs', 'parts']),
    'How its marks are given when not all is right: none of them; by the share of runs that are right; by the share of parts (bytes, registers, digits, signs, lamp patterns, tones, keys) that are.',
    'whole' as const,
  ),
  restsOn: optional(
    list(name, 0, 64),
    'Checks, or whole groups, on which it rests beside those of its group: it counts in full once they have earned half of their own marks, and before that in proportion.',
    [],
    'as its group',
  ),
  tells: optional(
    choice(['gap', 'result']),
    'What students learn of a visible check: what was measured and wanted, or only whether it is right.',
    'gap' as const,
  ),
  note: optional(text(1, 600), 'Added to the message when it fails.', null),
}

const common = object('check', 'The fields that every check has.', commonFields)

/** A check as a document has it: the common fields, and the fields of its kind beside them. */
export type Check = Read<typeof common> & { readonly [field: string]: Json }

const commonNames = Object.keys(commonFields)

/** The fields of a check that belong to its kind, as written. */
export function ownFields(check: Readonly<Record<string, unknown>>): Readonly<Record<string, unknown>> {
  return Object.fromEntries(Object.entries(check).filter(([key]) => !commonNames.includes(key)))
}

/**
 * One check, common fields read; the fields of its kind are kept as written and read later, once for each case, with
 * the values of the case in place of `$name`.
 */
export const checkSchema: Schema<Check> = {
  allowed: 'a check: id, kind, title, group, and the fields of its kind',
  parts: [common, ...checkKinds.map((kind) => kind.schema)],
  json: (definitions) => ({
    allOf: [
      {
        type: 'object',
        properties: Object.fromEntries(
          Object.entries(commonFields).map(([key, field]) => [
            key,
            { ...field.schema.json(definitions), description: field.about },
          ]),
        ),
        required: Object.keys(commonFields).filter((key) => commonFields[key as keyof typeof commonFields].isRequired),
      },
    ],
    oneOf: checkKinds.map((kind) => kindJson(kind.name, kind.schema, definitions)),
    unevaluatedProperties: false,
  }),
  read(value, path, report) {
    if (!isFields(value)) {
      report(documentProblem(path, 'wrong-value', String(value), checkSchema.allowed))
      return undefined
    }
    const kind = kindNamed(value['kind'])
    const kindFields = kind === undefined ? [] : Object.keys(kind.schema.fields)
    let isGood = true
    for (const key of Object.keys(value)) {
      if (kind === undefined || commonNames.includes(key) || kindFields.includes(key)) continue
      isGood = false
      const allowed = [...kindFields, ...commonNames]
      const near = nearestSpelling(key, allowed)
      report(documentProblem([...path, key], 'unknown-field', `'${key}'`, allowed.join(', '), near))
    }
    const shared = Object.fromEntries(Object.entries(value).filter(([key]) => commonNames.includes(key)))
    const read = common.read(shared, path, (problem) => {
      isGood = false
      const isKind = problem.path.length === path.length + 1 && problem.path.at(-1) === 'kind'
      report(isKind && value['kind'] !== undefined ? { ...problem, code: 'unknown-kind' } : problem)
    })
    // The fields of the kind are plain data: they came from YAML or JSON.
    return read === undefined || !isGood ? undefined : { ...read, ...(ownFields(value) as Record<string, Json>) }
  },
}

function kindJson(kind: string, schema: Schema<unknown>, definitions: Parameters<Schema<unknown>['json']>[0]): Json {
  const own = new Map(definitions)
  const reference = schema.json(own)
  const title = String(reference['$ref']).replace('#/$defs/', '')
  for (const [key, value] of own) if (key !== title) definitions.set(key, value)
  const { additionalProperties: _closed, properties, ...rest } = own.get(title) ?? {}
  return {
    ...rest,
    properties: { ...(isFields(properties) ? (properties as Record<string, Json>) : {}), kind: { const: kind } },
  }
}
