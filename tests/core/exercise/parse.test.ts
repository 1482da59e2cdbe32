import { describe, expect, test } from 'vitest'
import { isNode, LineCounter, parseDocument } from 'yaml'
import { benchEight } from '../../../core/board/index.ts'
import {
  boardMisfits,
  exerciseDigest,
  exerciseJsonSchema,
  exerciseReference,
  checkKinds,
  parseExercise,
  placeProblems,
  type Path,
} from '../../../core/exercise/index.ts'
import { documentOf, exerciseOf, filesOf, folders, textOf } from './tram-depot.ts'

/** The problems of A2's document after a change, as `path: code`. */
function problemsAfter(change: (document: Record<string, unknown>) => void): readonly string[] {
  const document = structuredClone(documentOf('A2'))
  change(document)
  return parseExercise(document, filesOf('A2')).problems.map((problem) => `${problem.path.join('.')}: ${problem.code}`)
}

const checks = (document: Record<string, unknown>) => document['checks'] as Record<string, unknown>[]
const at = <T>(list: readonly T[], index: number): T => {
  const item = list[index]
  if (item === undefined) throw new Error(`nothing at ${index}`)
  return item
}

describe('the demo course', () => {
  test.each(folders)('%s is read and fits its board', (folder) => {
    expect(boardMisfits(exerciseOf(folder), benchEight)).toEqual([])
  })
  test.each(folders)('%s read from its own JSON gives itself', (folder) => {
    const exercise = exerciseOf(folder)
    const again = parseExercise(JSON.parse(JSON.stringify(exercise)))
    expect(again.exercise).toEqual(exercise)
    expect(again.exercise === null ? '' : exerciseDigest(again.exercise)).toBe(exerciseDigest(exercise))
  })
})

describe('a wrong document', () => {
  test('with more than fifty problems has the first fifty told and the others counted', () => {
    const extra = Object.fromEntries(Array.from({ length: 130 }, (_, i) => [`extra-${i}`, 1]))
    const read = parseExercise({ ...documentOf('A2'), ...extra }, filesOf('A2'))
    expect([read.isOk, read.problems.length, read.isOk ? 0 : read.untold]).toEqual([false, 50, 80])
    expect(read.problems.at(-1)?.path).toEqual(['extra-49'])
  })

  test('an unknown kind of check is named with the kinds there are and the nearest spelling', () => {
    const document = structuredClone(documentOf('A2'))
    at(checks(document), 0)['kind'] = 'memroy'
    const [problem] = parseExercise(document, filesOf('A2')).problems
    expect(problem).toMatchObject({ code: 'unknown-kind', path: ['checks', 0, 'kind'], nearest: 'memory' })
    for (const kind of checkKinds) expect(problem?.allowed).toContain(kind.name)
  })
  test('an unknown field of a check is named with the fields of its kind', () => {
    const document = structuredClone(documentOf('A2'))
    at(checks(document), 3)['maxx'] = 3
    const [problem] = parseExercise(document, filesOf('A2')).problems
    expect(problem).toMatchObject({ code: 'unknown-field', path: ['checks', 3, 'maxx'], nearest: 'max' })
    expect(problem?.allowed).toContain('min')
  })
  test('marks that do not add up to 100 are named with their sum', () => {
    const document = structuredClone(documentOf('A2'))
    at(document['groups'] as { marks: number }[], 0).marks = 71
    const [problem] = parseExercise(document, filesOf('A2')).problems
    expect(problem?.message).toBe('groups: found marks that add up to 101, allowed exactly 100.')
  })
  test('names that lead nowhere and names used twice', () => {
    expect(problemsAfter((document) => (at(checks(document), 0)['group'] = 'functoin'))).toContain(
      'checks.0.group: dangling',
    )
    expect(problemsAfter((document) => (at(checks(document), 0)['cases'] = ['nmber']))).toEqual([
      'checks.0.cases.0: dangling',
    ])
    expect(problemsAfter((document) => (at(checks(document), 1)['id'] = 'fleet-number'))).toEqual([
      'checks.1.id: duplicate',
    ])
    expect(
      problemsAfter((document) => (document['hints'] = [{ rung: 'point', ask: 'a', say: 'b', checks: ['x'] }])),
    ).toEqual(['hints.0.checks.0: dangling'])
  })
  test('a value that the case does not have', () => {
    expect(problemsAfter((document) => (at(checks(document), 3)['max'] = '$limit'))).toEqual([
      'checks.3.max: unknown-name',
    ])
  })
  test('a value of a case that does not suit the check', () => {
    expect(
      problemsAfter((document) => {
        at(checks(document), 3)['max'] = '$limit'
        at(document['cases'] as Record<string, unknown>[], 0)['expect'] = { limit: 'twelve' }
      }),
    ).toEqual(['checks.3.max: wrong-value'])
  })
  test('a model answer that is not there, and a check that needs one', () => {
    expect(problemsAfter((document) => (document['model'] = { file: 'mode.asm' }))).toEqual([
      'model.file: no-such-file',
    ])
    expect(
      problemsAfter((document) => {
        delete document['model']
        at(checks(document), 0)['want'] = [{ at: '4600h', bytes: 'model', length: 2 }]
      }),
    ).toEqual(['checks.0: no-model'])
  })
  test('all problems come at once', () => {
    expect(
      problemsAfter((document) => {
        document['board'] = 'bench 8'
        document['brief'] = ''
        document['colour'] = 'red'
        at(checks(document), 0)['kind'] = 'smell'
        at(checks(document), 2)['weight'] = 0
      }),
    ).toEqual([
      ...['colour: unknown-field', 'board: wrong-value', 'brief: wrong-value'],
      ...['checks.0.kind: unknown-kind', 'checks.2.weight: wrong-value'],
    ])
  })
  test.each([null, 7, 'text', [], {}])('%j is refused, not thrown at', (value) => {
    expect(parseExercise(value).isOk).toBe(false)
  })
  test('an instruction, a routine, a key or a glyph that does not exist', () => {
    expect(
      problemsAfter((document) =>
        checks(document).push({ id: 'x', kind: 'required-instruction', title: 'x', group: 'care', all: ['DJNX'] }),
      ),
    ).toEqual(['checks.4.all.0: unknown-instruction'])
    const document = structuredClone(documentOf('A2'))
    checks(document).push({ id: 'r', kind: 'calls-routine', title: 'r', group: 'care', routine: 'PAINR' })
    checks(document).push({ id: 'g', kind: 'digits-seen', title: 'g', group: 'care', glyphs: 'TRAM' })
    document['given'] = { keys: [{ key: 'ENTER', at: '1 ms', for: '5 ms' }] }
    const { exercise } = parseExercise(document, filesOf('A2'))
    const messages = exercise === null ? [] : boardMisfits(exercise, benchEight).map((problem) => problem.message)
    expect(messages[0]).toContain("found 'ENTER'")
    expect(messages[1]).toContain("Did you mean 'PAINT'?")
    expect(messages[2]).toContain("seven segments have no form for 'M'")
  })
})

test('problems get the line of the author’s text', () => {
  const source = textOf('A2', 'exercise.yaml').replace('kind: size', 'kind: sise')
  const lines = new LineCounter()
  const document = parseDocument(source, { lineCounter: lines })
  const { problems } = parseExercise(document.toJS(), filesOf('A2'))
  const placed = placeProblems(problems, (path: Path) => {
    const node = document.getIn(path, true)
    if (!isNode(node) || node.range === null || node.range === undefined) return null
    const { line, col } = lines.linePos(node.range[0])
    return { line, column: col, length: Math.max(1, node.range[1] - node.range[0]) }
  })
  const line = source.split('\n').findIndex((each) => each.includes('kind: sise')) + 1
  expect(placed).toMatchObject([{ severity: 'error', code: 'unknown-kind', at: { line, column: 11, length: 4 } }])
})

describe('the published forms', () => {
  test('the reference page has a section for every kind of check and names every field', () => {
    const page = exerciseReference()
    for (const kind of checkKinds) {
      expect(page).toContain(`## ${kind.name}\n`)
      for (const field of Object.keys(kind.schema.fields)) expect(page).toContain(`| \`${field}\` |`)
    }
  })
  test('the JSON Schema is plain data that points only at what it holds', () => {
    const schema = exerciseJsonSchema()
    expect(JSON.parse(JSON.stringify(schema))).toEqual(schema)
    const references = [...JSON.stringify(schema).matchAll(/"\$ref":"#\/\$defs\/([^"]+)"/g)].map((match) => match[1])
    expect(references.length).toBeGreaterThan(5)
    for (const name of references) expect(Object.keys(schema['$defs'] ?? {})).toContain(name)
  })
})
