import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { caseInstances, parseExercise, runRequestFor, type Exercise } from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { readProgram } from '../../../core/assembler/index.ts'

const document = (case_: object): object => ({
  ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
  cases: [{ id: 'any', title: 'Fares', ...case_ }],
  groups: [{ id: 'g', title: 'G', marks: 100 }],
  checks: [
    { id: 'sum', kind: 'memory', title: 'S', group: 'g', credit: 'runs', want: [{ at: 0x4610, bytes: 'model' }] },
  ],
  model: { format: 'assembly', text: '  LD A,(4600H)\n  ADD A,3\n  LD (4610H),A\n  HALT\n' },
})

function exerciseOf(case_: object): Exercise {
  const parsed = parseExercise(document(case_))
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  return parsed.exercise
}

const titles = (case_: object): readonly string[] => caseInstances(exerciseOf(case_)).map(({ title }) => title)

/** The bytes that an instance puts into memory, one text for each draw. */
function given(case_: object, instance: number): readonly string[] {
  const exercise = exerciseOf(case_)
  const program = readProgram({ format: 'hex', text: '76' }, { origin: 0x4000 })
  const id = caseInstances(exercise)[instance]?.id ?? ''
  return runRequestFor(exercise, benchEight, program, id, 7).given.memory.map(({ bytes }) => bytes.join(' '))
}

describe('boundaries', () => {
  const byte = { boundaries: true, draws: [{ at: 0x4600 }] }

  test('of a byte are where it turns over, and come before the drawn runs', () => {
    expect(titles({ ...byte, times: 2 })).toEqual([
      ...['Fares: 4600h = 00h', 'Fares: 4600h = 01h', 'Fares: 4600h = 7Fh', 'Fares: 4600h = 80h', 'Fares: 4600h = FFh'],
      ...['Fares 1', 'Fares 2'],
    ])
    expect([0, 1, 2, 3, 4].map((i) => given(byte, i))).toEqual([['0'], ['1'], ['127'], ['128'], ['255']])
  })
  test('are those in its range, with the lowest and the highest', () => {
    expect(titles({ boundaries: true, draws: [{ at: 0x4600, from: 3, to: 0x80 }] }).slice(0, -1)).toEqual([
      ...['Fares: 4600h = 03h', 'Fares: 4600h = 7Fh', 'Fares: 4600h = 80h'],
    ])
  })
  test('of a word are its pages and signs too', () => {
    expect(titles({ boundaries: true, draws: [{ register: 'hl', to: 0xffff }] })).toContain('Fares: HL = 0100h')
    expect(titles({ boundaries: true, draws: [{ register: 'hl', to: 0xffff }] })).toHaveLength(10)
  })
  test('of decimal figures stand as figures', () => {
    const draws = [{ at: 0x4600, to: 99, decimal: true }]
    expect(titles({ boundaries: true, draws })[2]).toBe('Fares: 4600h = 09h')
    expect(given({ boundaries: true, draws }, 3)).toEqual([String(0x10)])
  })
  test('of a list put the highest and the lowest first and last', () => {
    const list = { boundaries: true, draws: [{ at: 0x4600, length: 3, from: 1, to: 9 }] }
    expect(titles(list)[0]).toBe('Fares: 4600h to 4602h: highest first')
    expect([0, 1, 2, 3, 4, 5].map((i) => given(list, i)[0])).toEqual([
      '9 5 5',
      '5 5 9',
      '1 5 5',
      '5 5 1',
      '1 1 1',
      '9 9 9',
    ])
  })
  test('of two values leave the other drawn, then both lowest, highest, equal', () => {
    const two = {
      boundaries: true,
      draws: [
        { at: 0x4600, from: 1, to: 9 },
        { at: 0x4601, from: 5, to: 20 },
      ],
    }
    const all = caseInstances(exerciseOf(two))
    expect(all.slice(-4, -1).map(({ title }) => title)).toEqual([
      'Fares: all lowest',
      'Fares: all highest',
      'Fares: all equal',
    ])
    expect(all.slice(-4, -1).map((_, i) => given(two, all.length - 4 + i).join(','))).toEqual(['1,5', '9,20', '7,7'])
  })
  test('show in the report by their values', () => {
    // Right for every sum below 80h.
    const answer = {
      format: 'assembly',
      text: '  LD A,(4600H)\n  ADD A,3\n  AND 7FH\n  LD (4610H),A\n  HALT\n',
    } as const
    const report = grade(answer, exerciseOf({ ...byte, draws: [{ at: 0x4600, to: 0x7d }] }), benchEight)
    expect(report.cases.find(({ id }) => id === report.checks[0]?.decidedAt?.caseId)?.title).toBe('Fares: 4600h = 7Dh')
    expect(report.checks[0]?.share).toMatch(/^\d of 4 runs right$/)
  })
  test('are refused without a draw and where there are too many', () => {
    const codes = (case_: object) => parseExercise(document(case_)).problems.map(({ code }) => code)
    expect(codes({ boundaries: true })).toEqual(['no-draws'])
    const many = (count: number) => Array.from({ length: count }, (_, i) => ({ at: 0x4600 + i }))
    expect(codes({ boundaries: true, draws: many(12) })).toEqual([])
    expect(codes({ boundaries: true, draws: many(13) })).toEqual(['too-many'])
  })
})
