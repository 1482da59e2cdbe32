import { Ajv2020 } from 'ajv/dist/2020.js'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  benchEight,
  boardProfiles,
  boardProfileSchema,
  problemsBySchema,
  validateProfile,
} from '../../../core/board/index.ts'
import { sixLamps } from './six-lamps.ts'

/** The profile as JSON, with `change` made to it. */
function changed(change: (json: Record<string, Record<string, unknown>>) => void): unknown {
  const json = JSON.parse(JSON.stringify(benchEight))
  change(json)
  return json
}

/** `path: code` of each problem. */
function problemsOf(json: unknown): string[] {
  const reading = validateProfile(json)
  return 'problems' in reading ? reading.problems.map(({ path, code }) => `${path.join('.')}: ${code}`) : []
}

describe('reading a board profile', () => {
  test.each([...boardProfiles, sixLamps])('$title is read back from its JSON as it is', (profile) => {
    expect(validateProfile(JSON.parse(JSON.stringify(profile)))).toEqual({ profile })
  })

  test('every property that the type demands is demanded by the schema', () => {
    for (const name of Object.keys(benchEight)) {
      const { [name]: _left, ...rest } = JSON.parse(JSON.stringify(benchEight))
      expect(problemsOf(rest)).toEqual([`${name}: missing`])
    }
  })

  test.each<[string, (json: Record<string, Record<string, unknown>>) => void, string[]]>([
    ['a clock of no speed', (json) => Object.assign(json, { clockHz: 0 }), ['clockHz: out-of-range']],
    ['a name that is none', (json) => Object.assign(json, { id: 'Bench 8' }), ['id: not-allowed']],
    ['a port over 255', (json) => Object.assign(json['speaker'] ?? {}, { port: 256 }), ['speaker.port: out-of-range']],
    ['half a bit', (json) => Object.assign(json['speaker'] ?? {}, { bit: 0.5 }), ['speaker.bit: wrong-kind']],
    ['a word too many', (json) => Object.assign(json['speaker'] ?? {}, { pin: 3 }), ['speaker.pin: unknown-name']],
    ['text for a list', (json) => Object.assign(json['keypad'] ?? {}, { keys: 'A' }), ['keypad.keys: wrong-kind']],
    ['an odd digit', (json) => Object.assign(json['firmware'] ?? {}, { hex: '123' }), ['firmware.hex: not-allowed']],
    ['a timer that stands', (json) => Object.assign(json['timer'] ?? {}, { hz: 0 }), ['timer.hz: out-of-range']],
  ])('%s is named with its place', (_name, change, wanted) => {
    expect(problemsOf(changed(change))).toEqual(wanted)
  })

  test.each<[string, (json: Record<string, Record<string, unknown>>) => void, string[]]>([
    [
      'regions that overlap',
      (json) => Object.assign(json['memory']?.[1] ?? {}, { from: 0x0fff }),
      ['memory.1.from: overlap'],
    ],
    [
      'a region that ends before it begins',
      (json) => Object.assign(json['memory']?.[1] ?? {}, { to: 0x3fff }),
      [
        'memory.1.to: out-of-range',
        'layout.program: outside-ram',
        'layout.programEnd: outside-ram',
        'layout.data: outside-ram',
        'layout.digitBuffer: outside-ram',
        'layout.interruptHook: outside-ram',
        'layout.stackTop: outside-ram',
        'firmware.ready.0.at: outside-ram',
      ],
    ],
    [
      'a program in ROM',
      (json) => Object.assign(json['layout'] ?? {}, { program: 0x0100 }),
      ['layout.program: outside-ram'],
    ],
    [
      'a stack that begins in the middle of nowhere',
      (json) => Object.assign(json['layout'] ?? {}, { stackTop: 0x9000 }),
      ['layout.stackTop: outside-ram'],
    ],
    [
      'a digit without a wire',
      (json) => Object.assign(json['display'] ?? {}, { digits: 7 }),
      ['display.digitBits: wrong-count', 'keypad.keys: wrong-count'],
    ],
    [
      'two segments on a wire',
      (json) => Object.assign(json['display'] ?? {}, { segmentBits: [0, 1, 2, 3, 4, 5, 5] }),
      ['display.segmentBits.6: twice'],
    ],
    [
      'one port for segments and digits',
      (json) => Object.assign(json['display'] ?? {}, { selectPort: 0x20 }),
      ['display.selectPort: overlap'],
    ],
    [
      'two keys of one name',
      (json) => Object.assign(json['keypad'] ?? {}, { keys: [['A', 'B'], ['B']] }),
      ['keypad.keys.1.0: twice'],
    ],
    [
      'more firmware than ROM',
      (json) => Object.assign(json['firmware'] ?? {}, { hex: '00'.repeat(0x1001) }),
      ['firmware.hex: too-long'],
    ],
  ])('%s: what the schema cannot say is found behind it', (_name, change, wanted) => {
    expect(problemsOf(changed(change))).toEqual(wanted)
  })

  test('all that is wrong is told at once, in words with the place', () => {
    const reading = validateProfile({ ...benchEight, clockHz: 'fast', speaker: { port: -1 } })
    expect('problems' in reading && reading.problems.map(({ message }) => message)).toEqual([
      'clockHz: found "fast"; allowed: a number from 1000 to 100000000',
      'speaker.bit: found nothing; allowed: a value, this one must be given',
      'speaker.port: found -1; allowed: a whole number from 0 to 255',
    ])
  })

  test.each([null, 3, 'board', [], undefined])('%j is no profile', (json) => {
    expect(problemsOf(json)).toEqual([': wrong-kind'])
  })

  test('a name from the language itself is no property', () => {
    expect(problemsOf(JSON.parse(`{"__proto__": 1, ${JSON.stringify(benchEight).slice(1)}`))).toEqual([
      '__proto__: unknown-name',
    ])
    expect(problemsOf({ ...benchEight, constructor: 1 })).toEqual(['constructor: unknown-name'])
  })

  test('the schema is plain JSON', () => {
    expect(JSON.parse(JSON.stringify(boardProfileSchema))).toEqual(boardProfileSchema)
  })

  test('the schema is a JSON Schema, and a general validator says yes and no where we do', () => {
    // Outside check: ajv 8, draft 2020-12.
    const isValid = new Ajv2020({ strict: true, strictTypes: false }).compile(boardProfileSchema)
    const places = placesIn(JSON.parse(JSON.stringify(sixLamps)))
    const values = fc.constantFrom<unknown>(null, true, -1, 0.5, 7, 300, 70_000, '', 'zz', [], [1], {}, { x: 1 })
    fc.assert(
      fc.property(fc.constantFrom(...places), values, (path, value) => {
        const json = JSON.parse(JSON.stringify(sixLamps))
        put(json, path, value)
        expect(problemsBySchema(json, boardProfileSchema).length === 0).toBe(isValid(json))
      }),
      { numRuns: 2000 },
    )
  })
})

/** Every place in a document, and one new name in each object. */
function placesIn(json: unknown, path: readonly string[] = []): (readonly string[])[] {
  if (typeof json !== 'object' || json === null) return [path]
  const inside = Object.entries(json).flatMap(([name, value]) => placesIn(value, [...path, name]))
  return [...(path.length > 0 ? [path] : []), ...inside, ...(Array.isArray(json) ? [] : [[...path, 'other']])]
}

function put(json: Record<string, unknown>, [name = '', ...rest]: readonly string[], value: unknown): void {
  if (rest.length === 0) json[name] = value
  else put(json[name] as Record<string, unknown>, rest, value)
}
