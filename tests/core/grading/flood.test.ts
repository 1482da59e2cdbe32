import { expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { diagnose } from '../../../core/diagnosis/index.ts'
import { parseExercise, readOptionsFor, type Exercise } from '../../../core/exercise/index.ts'
import { grade, studentReport } from '../../../core/grading/index.ts'

function exercise(events?: number): Exercise {
  const document = {
    format: 'hexcairn-exercise/1',
    id: 'lamp',
    title: 'Depot lamp',
    board: 'bench-8',
    brief: 'Blink the lamp.',
    budget: '2 s',
    ...(events === undefined ? {} : { events }),
    cases: [{ id: 'lamp', title: 'The lamp', given: { registers: { a: 0 } } }],
    groups: [{ id: 'all', title: 'All', marks: 100 }],
    checks: [
      { id: 'tone', kind: 'speaker', title: 'A tone of 1 kHz', group: 'all', frequency: 1000, frequencyWithin: '5 %' },
      { id: 'size', kind: 'size', title: 'At most 20 bytes', group: 'all', max: 20 },
    ],
  }
  const parsed = parseExercise(document, {})
  if (!parsed.isOk) throw new Error(JSON.stringify(parsed.problems))
  return parsed.exercise
}

const flood = { format: 'assembly', text: 'LOOP: XOR 1\n OUT (22H),A\n JR LOOP\n' } as const

test('a run with too many events fails what looks at the run, says what came too often, and nothing else', () => {
  const report = grade(flood, exercise(100_000), benchEight)
  const [tone, size] = report.checks
  expect(tone).toMatchObject({
    outcome: 'budget-used-up',
    // Every 30 T a write and an edge, which counts as four: 20,000 writes in 599,988 T of 2.5 MHz.
    message: 'The run was stopped: port 22h was written 20,000 times in 0.24 s. Is a pause missing?',
  })
  expect(size?.outcome).toBe('passed')
  expect(grade(flood, exercise(100_000), benchEight)).toEqual(report)
})

test('the cause is named, with the loop', () => {
  const of = exercise(100_000)
  const program = readProgram(flood, readOptionsFor(of, benchEight))
  const [first] = diagnose(program, of, benchEight, grade(flood, of, benchEight)).causes
  expect(first).toMatchObject({ id: 'pause-missing', card: 'pause-missing', isVisible: true })
  expect(first?.message).toContain('4000h to 4004h has no pause: port 22h was written 20,000 times in 0.24 s.')
})

test('a number of events out of range is refused, and the usual one leaves the digest as it was', () => {
  const usual = grade(flood, exercise(), benchEight).exercise.digest
  expect(grade(flood, exercise(1_000_000), benchEight).exercise.digest).toBe(usual)
  expect(grade(flood, exercise(100_000), benchEight).exercise.digest).not.toBe(usual)
  expect(() => exercise(5)).toThrow('1000 to 2000000')
})

test.each([
  ['text without sense', 'assembly', '?!\n'.repeat(21_000)],
  ['letters for bytes', 'hex', 'zz '.repeat(21_000)],
  ['records without sense', 'intel-hex', ':00\n'.repeat(16_000)],
  ['one long line', 'assembly', `LABEL${'x'.repeat(60_000)}: NOP`],
] as const)('the report on 64 KB of %s stays small', (_what, format, text) => {
  const report = grade({ format, text }, exercise(), benchEight)
  expect(JSON.stringify(report).length).toBeLessThan(256 * 1024)
  expect(JSON.stringify(studentReport(report)).length).toBeLessThan(256 * 1024)
})
