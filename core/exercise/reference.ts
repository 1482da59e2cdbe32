import { defaultEventLimit } from '../run/index.ts'
import { digestOfText } from './digest.ts'
import { exerciseFormat, type Exercise } from './exercise.ts'
import { withoutOwnConstants } from './exercise-for.ts'
import { documentSchema } from './parse.ts'
import { checkKinds, type CheckKind } from './checks/index.ts'
import { guide } from './reference-guide.ts'
import { isObjectSchema, type Fields, type JsonSchema, type ObjectSchema, type Schema } from './schema/index.ts'

const digests = new WeakMap<Exercise, string>()

/**
 * SHA-256 over the exercise as JSON, without what decides no report (who sees repairs and the model answer, messages,
 * questions that people mark):
 * two exercises with the same digest grade alike. An exercise with one student's constants in place has the digest of its
 * document. Worked out once for each.
 */
export function exerciseDigest(exercise: Exercise): string {
  const known = digests.get(exercise)
  if (known !== undefined) return known
  const {
    repair: _repair,
    compare: _compare,
    feedback: _feedback,
    questions: _questions,
    constants,
    written,
    events,
    nearlyRight,
    ...others
  } = withoutOwnConstants(exercise)
  const graded = {
    ...others,
    ...(events === defaultEventLimit ? {} : { events }),
    ...(nearlyRight === null ? {} : { nearlyRight }),
  }
  const digest = digestOfText(JSON.stringify(constants.length === 0 ? graded : { ...graded, constants, written }))
  digests.set(exercise, digest)
  return digest
}

/** The document's form as a JSON Schema (2020-12), plain data. */
export function exerciseJsonSchema(): JsonSchema {
  const definitions = new Map<string, JsonSchema>()
  const root = documentSchema.json(definitions)
  return {
    $schema: 'https://json-schema.org/draft/2020-12/schema',
    $id: `urn:${exerciseFormat.replace('/', ':')}`,
    title: 'Exercise document',
    ...root,
    $defs: Object.fromEntries(definitions),
  }
}

/** The reference text of the document's form, as Markdown: a section for each group of fields, then each kind of check. */
export function exerciseReference(): string {
  const checkSchemas = new Set<Schema<unknown>>(checkKinds.map((kind) => kind.schema))
  const sections: ObjectSchema<Fields>[] = []
  const visit = (schema: Schema<unknown>): void => {
    if (isObjectSchema(schema)) {
      if (sections.some((each) => each.title === schema.title)) return
      sections.push(schema)
    }
    for (const part of schema.parts) visit(part)
  }
  visit(documentSchema)
  const groups = sections.filter((each) => !checkSchemas.has(each))
  const parts = groups.map((each) => section(each, each.title))
  const kinds = checkKinds.map((kind) => `${section(kind.schema, kind.name)}\n\n${exampleOf(kind)}`)
  return [
    `# The exercise document, ${exerciseFormat}`,
    guide,
    '# The fields',
    ...parts,
    '# Kinds of check',
    'What each looks at; the fields that every check has are under [check](#check).',
    kindTable(),
    ...kinds,
    '',
  ].join('\n\n')
}

function kindTable(): string {
  const rows = checkKinds.map(({ name, schema }) => `| [${name}](#${name}) | ${schema.about} |`)
  return ['| Kind | Right when |', '| --- | --- |', ...rows].join('\n')
}

/** A check of a kind as a document has it. */
function exampleOf({ name, example }: CheckKind): string {
  const lines = ['- id: an-id', `  kind: ${name}`, '  title: What a reader calls it', '  group: function']
  return ['```yaml', ...lines, ...example.map((line) => `  ${line}`), '```'].join('\n')
}

function section(schema: ObjectSchema<Fields>, title: string): string {
  const rows = Object.entries(schema.fields).map(([field, { schema: held, about, otherwise }]) => {
    const allowed = isObjectSchema(held) ? `see ${held.title}` : held.allowed
    return `| \`${field}\` | ${about} | ${cell(allowed)} | ${otherwise === null ? 'required' : cell(otherwise)} |`
  })
  const table = ['| Field | Meaning | Allowed | When left out |', '| --- | --- | --- | --- |', ...rows].join('\n')
  return rows.length === 0
    ? `## ${title}\n\n${schema.about}\n\nIt has no fields of its own.`
    : `## ${title}\n\n${schema.about}\n\n${table}`
}

function cell(text: string): string {
  return text.replaceAll('|', '\\|').replaceAll('\n', ' ')
}
