import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import {
  boardMisfits,
  callSiteOf,
  drawnAnew,
  caseInstances,
  parseExercise,
  placeOfCalls,
  readOptionsFor,
  runRequestFor,
  studentView,
  type Exercise,
} from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { run } from '../../../core/run/index.ts'

function exerciseOf(cases: readonly object[], parts: object = {}): Exercise {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    ...{ program: { ends: 'return' }, cases, groups: [{ id: 'g', title: 'G', marks: 100 }] },
    checks: [{ id: 'ends', kind: 'run-end', title: 'E', group: 'g' }],
    ...parts,
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  return parsed.exercise
}

/** Adds B to A, and what stands at 4600h. */
const adding = `  ADD A,B
        LD HL,4600H
        ADD A,(HL)
        RET
`
const drawing = {
  id: 'sums',
  calls: [
    {
      registers: { a: 1 },
      draws: [
        { register: 'b', from: 1, to: 60 },
        { at: '4600h', length: 2, to: 60 },
      ],
      times: 6,
    },
    { registers: { a: 9, b: 9 }, memory: [{ at: '4600h', bytes: '07' }] },
  ],
}
const comparing = {
  model: { format: 'assembly', text: adding },
  checks: [{ id: 'sum', kind: 'registers', title: 'S', group: 'g', want: { a: 'model' }, when: { call: 'each' } }],
}

/** What the first call of a case begins with: A, B, and the byte at 4600h. */
function firstCall(of: Exercise, start?: number): string {
  const program = readProgram({ format: 'assembly', text: adding }, readOptionsFor(of, benchEight))
  const [instance] = caseInstances(of)
  if (instance === undefined) throw new Error('it has a case')
  const site = callSiteOf(of, benchEight, program, instance)
  const request = runRequestFor(of, benchEight, program, instance.id, 0, start)
  const at = run({ ...request, breakpoints: [site?.call ?? 0] })
  return `${at.registers.af >> 8} ${at.registers.bc >> 8} ${at.memory[0x4600] ?? 0}`
}

describe('draws in a call', () => {
  const of = exerciseOf([drawing], comparing)

  test('are marked with the model answer, and a wrong sum is found', () => {
    const outcomeOf = (text: string): string | undefined =>
      grade({ format: 'assembly', text }, of, benchEight, { seed: 3 }).checks[0]?.outcome
    expect(outcomeOf(adding)).toBe('passed')
    expect(outcomeOf('  LD A,25\n  RET\n')).toBe('failed')
    expect(outcomeOf(adding.replace('ADD A,B', 'ADD A,C'))).toBe('failed')
  })

  test('give each call values of its own, whoever hands in and whatever else is undefined', () => {
    const program = readProgram(
      { format: 'assembly', text: '  LD HL,(4602H)\n LD A,B\n RET\n' },
      readOptionsFor(of, benchEight),
    )
    const bytes = (from: Exercise, seed: number, start?: number): string =>
      JSON.stringify(
        runRequestFor(from, benchEight, program, 'sums', seed, start).image.segments.map((each) => [...each.bytes]),
      )
    expect(bytes(of, 1)).toBe(bytes(of, 2))
    expect(bytes(of, 1)).not.toBe(bytes(drawnAnew(of, 1), 1))
    expect(bytes(of, 1, 2)).not.toBe(bytes(of, 1, 4))
    expect(firstCall(of, 2)).toEqual(firstCall(of, 4))
    expect(firstCall(of)).not.toEqual(firstCall(drawnAnew(of, 1)))
  })

  test('stay in their range, and differ from call to call', () => {
    // Keeps B and the byte of each call in a list at 4620h.
    const text = `  LD A,B
        LD DE,(4640H)
        LD D,46H
        LD (DE),A
        INC E
        LD A,(4600H)
        LD (DE),A
        INC E
        LD A,E
        LD (4640H),A
        RET
`
    const program = readProgram({ format: 'assembly', text }, readOptionsFor(of, benchEight))
    const request = runRequestFor(of, benchEight, program, 'sums', 8)
    const given = { ...request.given, memory: [...request.given.memory, { at: 0x4640, bytes: [0x20] }] }
    const { memory, end } = run({ ...request, given })
    expect(end.kind).toBe('halted')
    const list = Array.from({ length: 14 }, (_, i) => memory[0x4620 + i] ?? 0)
    const drawn = list.slice(0, 12)
    expect(drawn.filter((_, i) => i % 2 === 0).every((b) => b >= 1 && b <= 60)).toBe(true)
    expect(new Set(drawn).size).toBeGreaterThan(4)
    expect(list.slice(12)).toEqual([9, 7])
  })

  test('are looked at like those of a case', () => {
    const wrong = parseExercise({
      ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
      ...{ program: { ends: 'return' }, groups: [{ id: 'g', title: 'G', marks: 100 }] },
      cases: [{ id: 'one', calls: [{ draws: [{ from: 1 }, { register: 'a', from: 9, to: 3 }] }] }],
      checks: [{ id: 'ends', kind: 'run-end', title: 'E', group: 'g' }],
    })
    expect(wrong.problems.map(({ path, code }) => `${path.join('.')} ${code}`)).toEqual([
      'cases.0.calls.0.draws.0 draw-place',
      'cases.0.calls.0.draws.1 draw-range',
    ])
  })
})

describe('the place of the driver', () => {
  const shown = exerciseOf([drawing])
  const hidden = exerciseOf([{ id: 'plain' }, { ...drawing, visible: false }])
  const place = placeOfCalls(shown.cases[0] ?? { calls: [], callsAt: null }, benchEight)
  const read = (of: Parameters<typeof readOptionsFor>[0], at: number) =>
    readProgram({ format: 'hex', text: `4000: C9\n${at.toString(16)}: 00` }, readOptionsFor(of, benchEight))

  test('is what the request puts there', () => {
    const program = read(shown, 0x4000)
    for (const round of [1, 2, 3]) {
      const { image } = runRequestFor(drawnAnew(shown, round), benchEight, program, 'sums')
      const driver = image.segments.find(({ start }) => start === place.from)
      expect((driver?.start ?? 0) + (driver?.bytes.length ?? 0) - 1).toBe(place.to)
    }
    expect(place.to).toBe(benchEight.layout.data - 1)
  })

  test('takes no byte of a hand-in, and says why', () => {
    for (const at of [place.from, place.to])
      expect(
        read(shown, at)
          .problems.map(({ message }) => message)
          .join(),
      ).toMatch(/the program that calls yours/)
    expect(read(shown, place.from - 1).problems).toEqual([])
    const report = grade({ format: 'hex', text: `4000: C9\n${place.from.toString(16)}: 00` }, shown, benchEight)
    expect(report.status).not.toBe('graded')
    expect(read(hidden, place.from).isOk).toBe(false)
  })

  test('is no place for bytes in what a student is told either, where it belongs to a hidden case', () => {
    const view = studentView(hidden, benchEight)
    expect(view.program.ranges).toEqual([{ from: benchEight.layout.program, to: place.from - 1 }])
    expect(read(view, place.from).isOk).toBe(false)
    expect(read(view, place.from - 1).isOk).toBe(true)
    expect(studentView(shown, benchEight).program.ranges).toBe(null)
  })

  test('must be in RAM, and free of what is put into memory', () => {
    const misfits = (of: object): readonly string[] =>
      boardMisfits(exerciseOf([{ id: 'one', ...of }]), benchEight).map(({ path, code }) => `${path.join('.')} ${code}`)
    expect(misfits({ calls: [{}], callsAt: '0100h' })).toEqual(['cases.0.callsAt calls-place'])
    expect(misfits({ calls: [{}], callsAt: '4500h', given: { memory: [{ at: '4510h', bytes: '01' }] } })).toEqual([
      'cases.0.callsAt calls-place',
    ])
    expect(misfits({ calls: [{ memory: [{ at: '45F0h', bytes: '01' }] }] })).toEqual(['cases.0.calls calls-place'])
    expect(misfits({ calls: [{ draws: [{ at: '4600h', length: 9 }] }] })).toEqual([])
  })
})
