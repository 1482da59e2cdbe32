import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import {
  exerciseDigest,
  exerciseFor,
  modelProgram,
  parseExercise,
  runRequestFor,
  studentView,
  type Exercise,
} from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'

/** A task whose address, number and word differ from student to student. */
const document = {
  ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8' },
  brief: 'Put {fare} at {place}; the sign says {word}. Braces of {} and { x } stay.',
  constants: [
    { name: 'place', from: '4600h', to: '4640h', step: '10h', shown: 'hex' },
    { name: 'fare', from: 5, to: 9 },
    { name: 'word', of: ['TRAC', 'DEPOT'] },
  ],
  groups: [{ id: 'all', title: 'All', marks: 100 }],
  cases: [{ id: 'one', given: { memory: [{ at: '$place', bytes: [255, '$fare'] }], registers: { hl: '$place' } } }],
  checks: [
    {
      id: 'stored',
      kind: 'memory',
      title: '{fare} stands there',
      group: 'all',
      want: [{ at: '$place', bytes: 'model' }],
    },
    { id: 'a', kind: 'registers', title: 'A', group: 'all', want: { a: '$fare' } },
  ],
  hints: [{ rung: 'point', ask: 'What stands at {place}?', say: 'It is {fare}.' }],
  model: { format: 'assembly', text: '  LD A,FARE\n  LD (PLACE),A\n  HALT\n' },
} as const

function read(changes: object = {}): Exercise {
  const parsed = parseExercise({ ...document, ...changes })
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  return parsed.exercise
}

const problemsOf = (changes: object) =>
  parseExercise({ ...document, ...changes }).problems.map(({ path, code }) => `${path.join('.')}: ${code}`)

const valueOf = (exercise: Exercise, name: string) => exercise.constants.find((each) => each.name === name)?.of?.[0]

describe('constants', () => {
  const exercise = read()

  test('are drawn from the seed alone, each within its values, both ends reached', () => {
    const seen = new Map<string, Set<unknown>>()
    for (let seed = 0; seed < 200; seed++) {
      const own = exerciseFor(exercise, seed)
      for (const { name } of own.constants) seen.set(name, (seen.get(name) ?? new Set()).add(valueOf(own, name)))
    }
    expect([...(seen.get('place') ?? [])].sort()).toEqual([0x4600, 0x4610, 0x4620, 0x4630, 0x4640])
    expect([...(seen.get('fare') ?? [])].sort()).toEqual([5, 6, 7, 8, 9])
    expect([...(seen.get('word') ?? [])].sort()).toEqual(['DEPOT', 'TRAC'])
    expect(exerciseFor(read(), 7)).toEqual(exerciseFor(exercise, 7))
  })
  test('stand in texts, cases, checks and the model answer alike', () => {
    for (const seed of [1, 2, 3]) {
      const own = exerciseFor(exercise, seed)
      const place = Number(valueOf(own, 'place'))
      const fare = Number(valueOf(own, 'fare'))
      const at = `${place.toString(16).toUpperCase()}h`
      expect(own.brief).toBe(
        `Put ${fare} at ${at}; the sign says ${String(valueOf(own, 'word'))}. Braces of {} and { x } stay.`,
      )
      expect(own.checks[0]?.title).toBe(`${fare} stands there`)
      expect(own.hints[0]?.ask).toBe(`What stands at ${at}?`)
      expect(own.cases[0]?.given?.memory).toEqual([{ at: place, bytes: [255, fare] }])
      const model = modelProgram(own, benchEight)
      expect(model?.image.segments[0]?.bytes.slice(0, 5)).toEqual(
        Uint8Array.of(0x3e, fare, 0x32, place & 0xff, place >> 8),
      )
      const request = runRequestFor(exercise, benchEight, model ?? fail(), 'one', seed)
      expect(request.given.registers.hl).toBe(place)
      expect(request.given.memory).toEqual([{ at: place, bytes: [255, fare] }])
    }
  })
  test('the model answer gets full marks whatever the seed, and its bytes for another student do not', () => {
    const bytes = (seed: number) => {
      const held = modelProgram(exerciseFor(exercise, seed), benchEight)?.image.segments[0]?.bytes ?? []
      return `4000: ${Array.from(held, (byte) => byte.toString(16).padStart(2, '0')).join(' ')}`
    }
    for (let seed = 0; seed < 20; seed++) {
      const own = grade({ format: 'hex', text: bytes(seed) }, exercise, benchEight, { seed })
      expect([seed, own.score]).toEqual([seed, 100])
      const isSame = bytes(seed) === bytes(seed + 1)
      const borrowed = grade({ format: 'hex', text: bytes(seed + 1) }, exercise, benchEight, { seed })
      if (!isSame) expect(borrowed.score).toBeLessThan(100)
    }
  })
  test('may be named by answers of staff and not by those of students', () => {
    const { text } = document.model
    const source = { format: 'assembly', text } as const
    expect(grade(source, exercise, benchEight, { seed: 3, isStaffAnswer: true })).toMatchObject({ score: 100 })
    expect(grade(source, exercise, benchEight, { seed: 3 })).toMatchObject({ status: 'unreadable' })
  })
  test('a report names the exercise by the digest of the document, not of one student’s', () => {
    const report = grade({ format: 'hex', text: '4000: 76' }, exercise, benchEight, { seed: 3 })
    expect(report.exercise.digest).toBe(exerciseDigest(exercise))
    expect(exerciseDigest(exerciseFor(exercise, 3))).toBe(exerciseDigest(exercise))
    const placed = grade({ format: 'hex', text: '4000: 76' }, exerciseFor(exercise, 3), benchEight, { seed: 3 })
    expect(JSON.stringify(placed)).toBe(JSON.stringify(report))
  })
  test('an exercise without constants, and one whose constants are in place, is given back as it is', () => {
    const plain = read({
      constants: [],
      brief: 'x',
      cases: [{ id: 'one' }],
      checks: [{ ...document.checks[1], want: { a: 1 } }],
      hints: [],
    })
    expect(exerciseFor(plain, 4)).toBe(plain)
    const own = exerciseFor(exercise, 4)
    expect(exerciseFor(own, 5)).toBe(own)
  })
  test('an exercise read again from its own JSON gives itself, with constants open or in place', () => {
    for (const each of [exercise, exerciseFor(exercise, 6)]) {
      const again = parseExercise(JSON.parse(JSON.stringify(each)))
      expect(again.exercise).toEqual(each)
    }
  })
  test('a student sees the own values and no range', () => {
    const view = studentView(exercise, benchEight, 3)
    const own = exerciseFor(exercise, 3)
    expect(view.constants).toEqual(own.constants)
    expect(view.brief).toBe(own.brief)
    expect(view.hints).toEqual([{ rung: 'point', ask: own.hints[0]?.ask, checks: [], number: 0 }])
    expect(JSON.stringify(view)).not.toContain('"say"')
    const program = modelProgram(own, benchEight) ?? fail()
    const { isWatchingWrites: _, ...graded } = runRequestFor(exercise, benchEight, program, 'one', 3)
    expect(runRequestFor(view, benchEight, program, 'one', 3)).toEqual(graded)
  })
})

describe('constants that are wrong', () => {
  test.each([
    ['no values', [{ name: 'fare' }], 'constants.0: constant-values'],
    ['values twice over', [{ name: 'fare', from: 1, to: 2, of: [3] }], 'constants.0: constant-values'],
    ['half a range', [{ name: 'fare', from: 1 }], 'constants.0: constant-values'],
    ['a range upside down', [{ name: 'fare', from: 2, to: 1 }], 'constants.0: constant-values'],
    [
      'a name twice',
      [
        { name: 'fare', of: [3] },
        { name: 'fare', of: [4] },
      ],
      'constants.1.name: duplicate',
    ],
    ['a name with a capital', [{ name: 'Fare', of: [3] }], 'constants.0.name: wrong-value'],
  ])('%s', (_, constants, problem) => {
    const rest = { brief: 'x', hints: [], cases: [{ id: 'one' }], checks: [{ ...document.checks[1], want: { a: 1 } }] }
    expect(problemsOf({ ...rest, constants })).toContain(problem)
  })
  test('a name that is no constant, in a text, a case or a check', () => {
    expect(problemsOf({ brief: 'Put {fair} there.' })).toEqual(['brief: unknown-name'])
    expect(problemsOf({ cases: [{ id: 'one', given: { memory: [{ at: '$plaice', bytes: '00' }] } }] })).toContain(
      'cases.0.given.memory.0.at: unknown-name',
    )
    expect(problemsOf({ checks: [{ ...document.checks[1], want: { a: '$fair' } }] })).toEqual([
      'checks.0.want.a: unknown-name',
    ])
  })
  test('a value that only some students would get and that does not suit', () => {
    expect(problemsOf({ constants: [...document.constants.slice(0, 2), { name: 'word', of: ['TRAC', 7] }] })).toEqual(
      [],
    )
    expect(
      problemsOf({
        constants: [...document.constants.slice(0, 2), { name: 'word', of: [1, 'many'] }],
        checks: [{ ...document.checks[1], want: { a: '$word' } }],
      }),
    ).toEqual(['checks.0.want.a: wrong-value'])
  })
  test('a case that has a value of the same name', () => {
    expect(problemsOf({ cases: [{ id: 'one', expect: { fare: 3 } }] })).toEqual(['cases.0.expect.fare: duplicate'])
  })
})

test('texts in a list of a case stay texts, digits or not', () => {
  const cases = [{ id: 'one', expect: { signs: ['01', '37h', 'TRAC'], bytes: ['37h', 5] } }]
  const checks = [
    { id: 's', kind: 'signs-in-turn', title: 'S', group: 'all', signs: '$signs' },
    { id: 'b', kind: 'memory', title: 'B', group: 'all', want: [{ at: '4600h', bytes: '$bytes' }] },
  ]
  const { expect: held } = read({ ...document, constants: [], brief: 'x', hints: [], cases, checks }).cases[0] ?? fail()
  expect(held).toEqual({ signs: ['01', '37h', 'TRAC'], bytes: ['37h', 5] })
})

test('who sees repairs and the model answer, and messages, decide no report and so no digest', () => {
  const exercise = read()
  const changes = {
    ...{ repair: 'shown', compare: 'students' },
    feedback: { order: ['mistake', 'gap'], off: ['reflect', 'late-reload'], texts: { 'late-reload': 'Reload B.' } },
  }
  expect(exercise).toMatchObject({
    repair: 'narrowed',
    compare: 'staff',
    feedback: { order: null, off: [], texts: {} },
  })
  expect(read(changes)).toMatchObject(changes)
  expect(exerciseDigest(read(changes))).toBe(exerciseDigest(exercise))
  expect(problemsOf({ repair: 'all', compare: 'nobody', feedback: { order: ['gaps'], texts: { X: 'a' } } })).toEqual([
    ...['repair: wrong-value', 'compare: wrong-value'],
    ...['feedback.order.0: wrong-value', 'feedback.texts.X: unknown-field'],
  ])
})

function fail(): never {
  throw new Error('no program')
}
