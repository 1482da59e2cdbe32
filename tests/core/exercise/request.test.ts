import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import {
  caseInstances,
  digestOfText,
  drawsFrom,
  parseExercise,
  readOptionsFor,
  runRequestFor,
  drawnAnew,
  seedFrom,
  studentView,
  type Exercise,
} from '../../../core/exercise/index.ts'
import { run } from '../../../core/run/index.ts'
import { exerciseOf } from './tram-depot.ts'

/** A whole exercise around these parts. */
function exercise(parts: object): Exercise {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    groups: [{ id: 'all', title: 'All', marks: 100 }],
    checks: [{ id: 'end', kind: 'run-end', title: 'It ends', group: 'all' }],
    cases: [{ id: 'one' }],
    ...parts,
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  return parsed.exercise
}

const halt = (of: Exercise) => readProgram({ format: 'hex', text: '4000: 76' }, readOptionsFor(of, benchEight))
const requestFor = (of: Exercise, caseId: string, seed?: number) =>
  runRequestFor(of, benchEight, halt(of), caseId, seed)

describe('a request', () => {
  test('is the same whoever hands in, and another for another case and drawn anew', () => {
    const draws = [{ at: '4600h', length: 8 }]
    const of = exercise({
      cases: [
        { id: 'one', draws },
        { id: 'two', draws },
      ],
    })
    const { given } = requestFor(of, 'one', 7)
    expect(requestFor(of, 'one', 8)).toEqual(requestFor(of, 'one', 7))
    expect(requestFor(of, 'two', 7).given.memory).not.toEqual(given.memory)
    const again = requestFor(drawnAnew(of, 1), 'one', 7).given
    for (const what of ['registers', 'memory', 'fill'] as const) expect(again[what]).not.toEqual(given[what])
    expect(requestFor(drawnAnew(of, 2), 'one', 7).given.memory).not.toEqual(again.memory)
  })
  test('a case overrides what the exercise gives: registers by name, memory in turn', () => {
    const of = exercise({
      given: { registers: { a: 1, hl: '4600h' }, memory: [{ at: '4600h', bytes: '01 02' }], switches: 3 },
      cases: [{ id: 'one', given: { registers: { a: 2 }, memory: [{ at: '4601h', bytes: 'FF' }] } }],
    })
    const { given } = requestFor(of, 'one')
    expect((given.registers.af ?? 0) >> 8).toBe(2)
    expect(given.registers.hl).toBe(0x4600)
    expect(given.memory).toEqual([
      { at: 0x4600, bytes: [1, 2] },
      { at: 0x4601, bytes: [0xff] },
    ])
    expect(given.switches).toBe(3)
  })
  test('times become T-states of the board, keys with their bounce', () => {
    const of = exercise({
      budget: '2 s',
      given: { keys: [{ key: '5', at: '100 ms', for: '50 ms', bounce: '5 ms' }] },
    })
    const request = requestFor(of, 'one')
    expect(request.budget).toBe(5_000_000)
    expect(request.given.keys).toEqual([{ key: '5', from: 250_000, to: 375_000, bounceTStates: 12_500 }])
  })
  test('a case of several runs has one for each, with other values', () => {
    const of = exercise({ cases: [{ id: 'many', times: 3, draws: [{ register: 'b', from: 10, to: 250 }] }] })
    expect(caseInstances(of).map((each) => each.id)).toEqual(['many-1', 'many-2', 'many-3'])
    const values = caseInstances(of).map((each) => (requestFor(of, each.id).given.registers.bc ?? 0) >> 8)
    expect(new Set(values).size).toBe(3)
    for (const value of values) expect(value).toBeGreaterThanOrEqual(10)
  })
  test('decimal draws hold decimal figures only', () => {
    const of = exercise({ cases: [{ id: 'one', draws: [{ at: '4600h', length: 200, to: 99, decimal: true }] }] })
    const drawn = requestFor(of, 'one').given.memory[0]?.bytes ?? []
    expect(drawn.length).toBe(200)
    expect(drawn.every((byte) => byte >> 4 <= 9 && (byte & 15) <= 9)).toBe(true)
  })
  test('an unknown case is a mistake of the caller', () => {
    expect(() => requestFor(exercise({}), 'two')).toThrow('has no case two')
  })
  test('a driver calls the program: the run begins there and ends with its HALT', () => {
    const assembly = '  LD B,3\nMORE: CALL ENTRY\n  DJNZ MORE\n  HALT\n'
    const of = exercise({ program: { ends: 'return' }, given: { driver: { origin: '4400h', assembly } } })
    const text = '  LD HL,4600h\n  INC (HL)\n  RET\n'
    const program = readProgram({ format: 'assembly', text }, readOptionsFor(of, benchEight))
    const request = runRequestFor(of, benchEight, program, 'one')
    const before = request.given.fill
    const result = run({ ...request, given: { ...request.given, fill: { byte: 0 } } })
    expect(before).toHaveProperty('seed')
    expect(result.end).toEqual({ kind: 'halted' })
    expect(result.memory[0x4600]).toBe(3)
  })
  test('the firmware’s routines and the exercise’s names may be used in assembly', () => {
    const of = exercise({ program: { constants: { FLEET: '4600h' } } })
    const text = ' CALL PAINT\n LD HL,FLEET\n HALT\n'
    const program = readProgram({ format: 'assembly', text }, readOptionsFor(of, benchEight))
    expect(program.problems).toEqual([])
    expect(Array.from(program.image.segments[0]?.bytes ?? [])).toEqual([0xcd, 0x40, 0, 0x21, 0, 0x46, 0x76])
  })
})

describe('what a student may see', () => {
  test('runs the visible cases just as the grader does', () => {
    const of = exerciseOf('B3')
    const view = studentView(of, benchEight)
    expect(view.cases.map((each) => each.id)).toEqual(['depot'])
    const { isWatchingWrites: _, ...graded } = requestFor(of, 'depot', 3)
    expect(runRequestFor(view, benchEight, halt(of), 'depot', 3)).toEqual(graded)
  })
  test('has no model answer, no hidden case and no hidden check in it', () => {
    const of = exerciseOf('B3')
    const seen = JSON.stringify(studentView(of, benchEight))
    for (const secret of ['LINE 24', 'other-text', 'Another text', 'LD D,250', '[56,6,84,121', '"line"']) {
      expect([secret, JSON.stringify(of).includes(secret)]).toEqual([secret, true])
      expect([secret, seen.includes(secret)]).toEqual([secret, false])
    }
    expect(studentView(of).hiddenChecks).toEqual([{ group: 'function', category: 'what the digits show' }])
    expect(studentView(of).hiddenCases).toBe(1)
  })
  test('has no value of a visible case that only a hidden check wants', () => {
    const of = exercise({
      cases: [{ id: 'one', expect: { seen: '11h', secret: '77h' } }],
      checks: [
        { id: 'a', kind: 'registers', title: 'A', group: 'all', want: { a: '$seen' } },
        { id: 'b', kind: 'registers', title: 'B', group: 'all', visible: false, want: { b: '$secret' } },
      ],
    })
    expect(studentView(of).cases[0]?.expect).toEqual({ seen: '11h' })
  })
  test('says in words what each visible check wants', () => {
    const wanted = studentView(exerciseOf('A4'), benchEight).visibleChecks.map((check) => check.wanted)
    expect(wanted[0]).toBe(
      'FFh + 01h: 4602h: 00 01; 80h + 80h: 4602h: 00 01; 00h + 00h: 4602h: 00 00; 7Fh + 80h: 4602h: FF 00',
    )
    expect(wanted).toContain('at most 18 bytes')
  })
})

describe('draws', () => {
  test('depend on the seed alone and reach both ends', () => {
    const values = (seed: number) => {
      const draws = drawsFrom(seed)
      return Array.from({ length: 2000 }, () => draws.between(0, 9))
    }
    expect(values(5)).toEqual(values(5))
    expect(values(5)).not.toEqual(values(6))
    expect(new Set(values(5))).toEqual(new Set([0, 1, 2, 3, 4, 5, 6, 7, 8, 9]))
  })
  test('seeds from texts differ where the parts are cut differently', () => {
    expect(seedFrom('A', 'B1')).not.toBe(seedFrom('AB', '1'))
  })
})

test('the digest is SHA-256 over UTF-8', () => {
  // FIPS 180-4's example "abc"; the other from any SHA-256 tool over the UTF-8 bytes C3 A9 E2 82 AC.
  expect(digestOfText('abc')).toBe('ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad')
  expect(digestOfText('é€')).toBe('f0165711145fd4315008feb1f589eb75f63fb382417be0782a1c1cab418bc0c4')
})
