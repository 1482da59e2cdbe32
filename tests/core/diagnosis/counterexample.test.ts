import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { readProgram, type Program } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { counterexample } from '../../../core/diagnosis/index.ts'
import { modelProgram, readOptionsFor, type Exercise } from '../../../core/exercise/index.ts'
import { gradeProgram } from '../../../core/grading/index.ts'
import { shrink } from '../../../core/diagnosis/counterexample/shrink.ts'
import { exerciseOf, programOf } from '../exercise/tram-depot.ts'

const a4 = exerciseOf('A4')

function read(text: string, exercise: Exercise = a4): Program {
  const program = readProgram({ format: 'assembly', text }, readOptionsFor(exercise, benchEight))
  if (!program.isOk) throw new Error(program.problems[0]?.message ?? '')
  return program
}

const load = ' LD HL,4600h\n LD A,(HL)\n INC L\n ADD A,(HL)\n LD (4602h),A\n'
const carry = ' LD A,0\n ADC A,A\n LD (4603h),A\n HALT\n'

describe('a failing input of an exercise is made small', () => {
  test('the carry is never stored: any two fares with a sum of 100h, no bigger', () => {
    const found = counterexample(read(`${load} XOR A\n LD (4603h),A\n HALT\n`), a4, benchEight)
    expect(found).toMatchObject({ caseId: 'drawn', isVisible: false, isSmallest: false })
    const [, first = '', second = ''] = /^4600h: (..) (..)$/.exec(found?.inputs.join() ?? '') ?? []
    expect(Number.parseInt(first, 16) + Number.parseInt(second, 16)).toBe(0x100)
  })
  test('a fault for a single value is found among all of them', () => {
    const one: Exercise = { ...a4, cases: a4.cases.map((each) => ({ ...each, draws: each.draws.map(firstByte) })) }
    const program = read(' LD A,(4600h)\n CP 4Dh\n JR NZ,FINE\n LD (4700h),A\nFINE: HALT\n', one)
    const fixed = { ...one, checks: one.checks.filter(({ id }) => id === 'no-other-write') }
    const found = counterexample(program, fixed, benchEight, { seed: 11 })
    expect(found).toMatchObject({ isSmallest: true, inputs: ['4600h: 4D'] })
  })
  test('it says what the program did and what was wanted', () => {
    const found = counterexample(read(`${load}${carry.replace('LD A,0', 'XOR A')}`), a4, benchEight)
    expect(found?.check).toMatchObject({ id: 'any-fares', measured: '4602h: 00 00', wanted: '4602h: 00 01' })
  })
  test('the case can be run again by itself and fails in the same way', () => {
    const program = read(`${load} XOR A\n LD (4603h),A\n HALT\n`)
    const found = counterexample(program, a4, benchEight, { seed: 4 })
    if (found === null) throw new Error('this program is wrong for many fares')
    const report = gradeProgram(program, { ...a4, cases: [found.replay] }, benchEight, { seed: 4 })
    expect(report.checks.find(({ id }) => id === found.check.id)).toMatchObject({ measured: found.check.measured })
  })
  test('the same seed gives the same input', () => {
    const program = readProgram(programOf('A4', 'wrong-adc-first.asm'), readOptionsFor(a4, benchEight))
    const once = counterexample(program, a4, benchEight, { seed: 9 })
    expect(once).not.toBe(null)
    expect(counterexample(program, a4, benchEight, { seed: 9 })).toEqual(once)
  })
})

test('what no input can change is no counterexample', () => {
  // Answers the pairs of the sheet only, in more than 18 bytes: the size is wrong on every input and is not shown.
  const program = readProgram(programOf('A4', 'wrong-sheet-only.asm'), readOptionsFor(a4, benchEight))
  expect(counterexample(program, a4, benchEight)?.check).toMatchObject({ id: 'any-fares' })
})

describe('there is none', () => {
  test('for the model answer', () => {
    const model = modelProgram(a4, benchEight)
    if (model === null) throw new Error('A4 has a model answer')
    expect(counterexample(model, a4, benchEight, { most: 60 })).toBe(null)
  })
  test('where an exercise draws nothing, and for what cannot be read', () => {
    expect(counterexample(read(' HALT\n'), exerciseOf('A1'), benchEight)).toBe(null)
    expect(counterexample({ ...read(' HALT\n'), isOk: false }, a4, benchEight)).toBe(null)
  })
  test('when it is stopped before one was found', () => {
    const program = read(`${load}${carry.replace('LD A,0', 'XOR A')}`)
    expect(counterexample(program, a4, benchEight, { onProgress: () => false })).toBe(null)
  })
})

function firstByte(draw: Exercise['cases'][number]['draws'][number]): typeof draw {
  return { ...draw, length: 1 }
}

describe('shrinking', () => {
  const lists = fc.array(fc.nat(255), { minLength: 1, maxLength: 5 })
  /** Properties of lists that fail somewhere: sums, single values, orders, sets of values without a pattern. */
  const failings: readonly (readonly [string, (values: readonly number[]) => boolean])[] = [
    ['a sum over 255', (values) => values.reduce((sum, value) => sum + value, 0) > 255],
    ['any value over 127', (values) => values.some((value) => value > 127)],
    ['a fall', (values) => values.some((value, i) => value > (values[i + 1] ?? 255))],
    ['a multiple of 37', (values) => values.some((value) => value > 0 && value % 37 === 0)],
    ['the last value odd', (values) => (values.at(-1) ?? 0) % 2 === 1],
  ]

  test.each(failings)('%s: the result fails, is nowhere bigger, and no number can be one less', (_, fails) => {
    fc.assert(
      fc.property(lists, (values) => {
        fc.pre(fails(values))
        const lows = values.map(() => 0)
        const small = shrink({ values, lows }, fails)
        expect(fails(small)).toBe(true)
        for (const [i, value] of small.entries()) {
          expect(value).toBeLessThanOrEqual(values[i] ?? 0)
          if (value > 0) expect(fails(small.with(i, value - 1)) && !fails(lows)).toBe(false)
        }
      }),
      { numRuns: 100 },
    )
  })
  // Outside check: fast-check shrinks a counterexample of the same property by its own rules.
  test.each(failings)('%s: fast-check finds nothing that is smaller in every number', (_, fails) => {
    const length = 3
    const tuple = fc.array(fc.nat(255), { minLength: length, maxLength: length })
    const outside = fc.check(
      fc.property(tuple, (values) => !fails(values)),
      { seed: 7, numRuns: 2_000 },
    )
    const theirs = outside.counterexample?.[0] ?? []
    const first = fc.sample(tuple.filter(fails), { seed: 7, numRuns: 1 })[0] ?? []
    const ours = shrink({ values: first, lows: [0, 0, 0] }, fails)
    expect(theirs.length).toBe(length)
    expect(fails(ours)).toBe(true)
    expect(theirs.every((value, i) => value < (ours[i] ?? 0))).toBe(false)
    const sumOf = (values: readonly number[]): number => values.reduce((sum, value) => sum + value, 0)
    expect(sumOf(ours)).toBeLessThanOrEqual(sumOf(theirs))
  })
  test('numbers never go below their lowest', () => {
    expect(shrink({ values: [200, 90], lows: [10, 20] }, () => true)).toEqual([10, 20])
  })
  test('it ends after so many calls with the smallest so far', () => {
    let calls = 0
    const fails = (values: readonly number[]): boolean => {
      calls += 1
      return (values[0] ?? 0) > 1_000
    }
    const small = shrink({ values: [60_000], lows: [0] }, fails, 5)
    expect(calls).toBeLessThanOrEqual(5)
    expect(small[0]).toBeGreaterThan(1_000)
  })
})
