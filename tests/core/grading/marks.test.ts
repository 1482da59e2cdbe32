import { describe, expect, test } from 'vitest'
import { parseExercise } from '../../../core/exercise/index.ts'
import { sharedMarks } from '../../../core/grading/index.ts'

/** Marks of checks `a:3! b:1` in groups of so many marks, when those named have passed; `!` is a gate. */
function marks(groups: readonly (readonly [marks: number, checks: string, more?: object])[], passed: string): string {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    cases: [{ id: 'one' }],
    groups: groups.map(([value, , more], i) => ({ id: `g${i}`, title: 'G', marks: value, ...more })),
    checks: groups.flatMap(([, checks], i) =>
      checks.split(' ').map((written) => {
        const [id = '', weight = '1'] = written.replace('!', '').split(':')
        const gate = written.endsWith('!')
        return { id, kind: 'run-end', title: id, group: `g${i}`, weight: Number(weight), gate }
      }),
    ),
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  const shares = sharedMarks(parsed.exercise, (id) => passed.split(' ').includes(id))
  return shares.map((share) => (share.isSkipped ? '-' : String(share.marks))).join(' ')
}

describe('marks', () => {
  test('a group’s marks are shared by weight', () => {
    expect(marks([[100, 'a:3 b:1']], 'a b')).toBe('75 25')
    expect(marks([[100, 'a:3 b:1']], 'b')).toBe('0 25')
  })
  test('a failed gate takes its own group and no other', () => {
    const groups = [
      [60, 'a! b'],
      [40, 'c d'],
    ] as const
    expect(marks(groups, 'a b c d')).toBe('30 30 20 20')
    expect(marks(groups, 'b c d')).toBe('0 - 20 20')
  })
  test('all or nothing', () => {
    expect(marks([[100, 'a b', { allOrNothing: true }]], 'a')).toBe('0 0')
    expect(marks([[100, 'a b', { allOrNothing: true }]], 'a b')).toBe('50 50')
  })
  test('a group that needs a check of another one is skipped when it fails', () => {
    const groups = [
      [60, 'a b'],
      [40, 'c', { needs: ['a'] }],
    ] as const
    expect(marks(groups, 'b c')).toBe('0 30 -')
    expect(marks(groups, 'a c')).toBe('30 0 40')
  })
})
