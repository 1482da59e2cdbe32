import { describe, expect, test } from 'vitest'
import { isMap, isNode, isScalar, isSeq, LineCounter, parseDocument, type Document } from 'yaml'
import { parseExercise, placeProblems, type Path } from '../../../core/exercise/index.ts'
import { filesOf, textOf } from './tram-depot.ts'

/** A document that uses every part that came after the first ones. */
const rich = `format: hexcairn-exercise/1
id: R1
title: Rich
board: bench-8
brief: Put {fare} at {place}.
repair: shown
compare: students
constants:
  - name: place
    from: 4600h
    to: 4640h
    step: 10h
    shown: hex
  - name: fare
    of: [5, 6]
feedback:
  order: [mistake, gap]
  off: [reflect]
  texts:
    mistake.late-reload: Load B again.
cases:
  - id: one
    given:
      memory:
        - at: $place
          bytes: [$fare, 0]
      keys:
        - key: '5'
          at: 10 ms
          for: 50 ms
          bounce: 5 ms
    expect:
      signs: ['1', '2']
groups:
  - id: all
    title: All
    marks: 100
checks:
  - id: tones
    kind: tones-in-turn
    title: Tones
    group: all
    frequencies: [400, 800]
    each: 50 ms
    order: rising
  - id: signs
    kind: signs-in-turn
    title: Signs
    group: all
    signs: $signs
    minRefresh: 60
  - id: keys
    kind: shown-after-key
    title: Keys
    group: all
    signs: ['1']
    within: 50 ms
  - id: cells
    kind: memory-after-key
    title: Cells
    group: all
    at: $place
    bytes: ['01']
    after: 50 ms
  - id: ticks
    kind: interrupts
    title: Ticks
    group: all
    accepted: 10
    maxLost: 0
  - id: handler
    kind: handler
    title: Handler
    group: all
    max: 400 T
    registers: [af, hl]
  - id: drift
    kind: drift
    title: Drift
    group: all
    address: $place
    every: 1 s
    times: 10
    maxPpm: 100
  - id: ports
    kind: ports
    title: Ports
    group: all
    port: 24h
    values: [$fare]
  - id: lamps
    kind: lamps
    title: Lamps
    group: all
    patterns: ['*.......']
  - id: elsewhere
    kind: runs-elsewhere
    title: Elsewhere
    group: all
    at: 4200h
hints:
  - rung: point
    ask: What stands at {place}?
    say: It is {fare}.
`

/** Every place at which a scalar stands, and every place of a group of fields. */
function placesIn(document: Document): { readonly scalars: readonly Path[]; readonly groups: readonly Path[] } {
  const scalars: Path[] = []
  const groups: Path[] = []
  const visit = (node: unknown, path: Path): void => {
    if (isScalar(node)) scalars.push(path)
    if (isMap(node)) {
      groups.push(path)
      for (const { key, value } of node.items) if (isScalar(key)) visit(value, [...path, String(key.value)])
    }
    if (isSeq(node)) for (const [i, item] of node.items.entries()) visit(item, [...path, i])
  }
  visit(document.contents, [])
  return { scalars, groups }
}

/** The lines that the problems of a text point at, or null when it is taken. */
function linesOf(source: string, files: Readonly<Record<string, string>>): readonly number[] | null {
  const lines = new LineCounter()
  const document = parseDocument(source, { lineCounter: lines })
  const { problems } = parseExercise(document.toJS(), files)
  if (problems.length === 0) return null
  return placeProblems(problems, (path) => {
    const node = document.getIn(path, true)
    if (!isNode(node) || node.range === null || node.range === undefined) return null
    const { line, col } = lines.linePos(node.range[0])
    return { line, column: col, length: Math.max(1, node.range[1] - node.range[0]) }
  }).map(({ at }) => at.line)
}

const samePath = (a: Path, b: Path): boolean => a.length === b.length && a.every((part, i) => part === b[i])

const documents: readonly (readonly [name: string, source: string, files: Readonly<Record<string, string>>])[] = [
  ['a document with every later part', rich, {}],
  ...['A2', 'B3'].map((folder) => [folder, textOf(folder, 'exercise.yaml'), filesOf(folder)] as const),
]

test('the document with every later part is taken as it stands', () => {
  expect(linesOf(rich, {})).toBe(null)
})

describe.each(documents)('%s', (_name, source, files) => {
  const { scalars, groups } = placesIn(parseDocument(source))

  test('a group of fields where a plain value belongs is a problem at that very place', () => {
    const missed: string[] = []
    for (const path of scalars) {
      const changed = parseDocument(source)
      changed.setIn(path, { absurd: 1 })
      const { isOk, problems } = parseExercise(changed.toJS(), files)
      const isNamed = problems.some(
        (problem) =>
          samePath(problem.path.slice(0, path.length), path) ||
          samePath(problem.path, path.slice(0, problem.path.length)),
      )
      if (isOk || !isNamed) missed.push(path.join('.'))
      for (const problem of problems) expect(problem.message).toMatch(/: found .+, allowed .+\./)
    }
    expect(missed).toEqual([])
  })
  test('a field that nobody knows is named wherever it stands, with what may stand there', () => {
    for (const path of groups) {
      const changed = parseDocument(source)
      changed.setIn([...path, 'no such field'], 1)
      const { problems } = parseExercise(changed.toJS(), files)
      const problem = problems.find((each) => each.path.at(-1) === 'no such field')
      expect([path.join('.'), problem?.path]).toEqual([path.join('.'), [...path, 'no such field']])
      expect(problem?.allowed).toMatch(/\S/)
    }
  })
})

test('the line told is the one on which the wrong value stands', () => {
  const wrong: readonly (readonly [found: string, instead: string])[] = [
    ['repair: shown', 'repair: all'],
    ['compare: students', 'compare: everybody'],
    ['  - name: place', '  - name: Place!'],
    ['step: 10h', 'step: 0'],
    ['order: [mistake, gap]', 'order: [mistakes, gap]'],
    ['mistake.late-reload: Load B again.', "mistake.late-reload: ''"],
    ['- at: $place', '- at: $plaice'],
    ['bytes: [$fare, 0]', 'bytes: [$fare, 256]'],
    ['bounce: 5 ms', 'bounce: 5 Hz'],
    ['order: rising', 'order: up'],
    ['signs: $signs', 'signs: $sings'],
    ['minRefresh: 60', 'minRefresh: many'],
    ['accepted: 10', 'accepted: -1'],
    ['registers: [af, hl]', 'registers: [af, lh]'],
    ['maxPpm: 100', 'maxPpm: 100 ppm'],
    ['port: 24h', 'port: 124h'],
    ["patterns: ['*.......']", "patterns: ['x']"],
    ['ask: What stands at {place}?', 'ask: What stands at {palce}?'],
  ]
  for (const [found, instead] of wrong) {
    const source = rich.replace(found, instead)
    const line = source.split('\n').findIndex((each) => each.includes(instead)) + 1
    expect([instead, linesOf(source, {})?.includes(line)]).toEqual([instead, true])
  }
})
