import { describe, expect, test } from 'vitest'
import type { ClassProgress, Standing, SubmissionSummary } from '../../../server/contract/index.ts'
import { ClassView } from '../../../web/state/ClassView.svelte.ts'
import { Grid } from '../../../web/state/Grid.svelte.ts'

const none: Standing = { attempts: 0, state: null, bestScore: null, lastReceivedAt: null, lastSubmissionId: null }
const progress = (cells: readonly (readonly Standing[])[]): ClassProgress => ({
  courseId: 'c',
  now: '2026-11-25T09:30:00.000Z',
  exercises: ['A1', 'A2'].map((code) => ({
    id: code,
    code,
    title: code,
    state: 'open',
    dueAt: null,
    counts: { handedIn: 0, fullMarks: 0, waiting: 0 },
  })),
  students: cells.map((row, at) => ({
    student: { id: `s${at}`, displayName: `Student ${at}` },
    cells: [...row],
  })),
  totals: { students: cells.length, submissions: 0, waiting: 0, running: 0, faults: 0, toReview: 0 },
})

const handIn = (number: number, some: Partial<SubmissionSummary> = {}): SubmissionSummary => ({
  id: `h${number}`,
  courseId: 'c',
  exerciseId: 'A2',
  exerciseCode: 'A2',
  exerciseTitle: 'A2',
  student: { id: 's0', displayName: 'Student 0' },
  format: 'hex',
  receipt: { number, receivedAt: `2026-11-25T09:3${number}:00.000Z`, digest: '0'.repeat(64), isLate: false },
  state: 'waiting',
  score: null,
  isFullMarks: false,
  gradedAt: null,
  review: 'none',
  notes: 0,
  diagnosis: 'none',
  toMark: 0,
  ...some,
})

async function viewOf(cells: readonly (readonly Standing[])[]) {
  const view = new ClassView(() => Promise.resolve(progress(cells)))
  await view.resource.load()
  const cell = (row: number, column: number) => view.progress?.students[row]?.cells[column]
  return { view, cell }
}

describe('the class view', () => {
  test('fills a cell with the hand-in just heard of, and marks it', async () => {
    const { view, cell } = await viewOf([[none, none]])
    view.hear({ kind: 'submission-received', submission: handIn(1) })
    expect(cell(0, 1)).toEqual({
      attempts: 1,
      state: 'waiting',
      bestScore: null,
      lastReceivedAt: '2026-11-25T09:31:00.000Z',
      lastSubmissionId: 'h1',
    })
    expect(view.isFresh({ studentId: 's0', exerciseId: 'A2' })).toBe(true)
    expect(view.isFresh({ studentId: 's0', exerciseId: 'A1' })).toBe(false)
    view.settle()
    expect(view.isFresh({ studentId: 's0', exerciseId: 'A2' })).toBe(false)
  })

  test('keeps the best score when a later hand-in is worse', async () => {
    const { view, cell } = await viewOf([[none, none]])
    view.hear({ kind: 'submission-graded', submission: handIn(1, { state: 'graded', score: 80 }) })
    view.hear({ kind: 'submission-graded', submission: handIn(2, { state: 'graded', score: 20 }) })
    expect(cell(0, 1)).toMatchObject({ attempts: 2, bestScore: 80, lastSubmissionId: 'h2' })
  })

  test('an old hand-in that is graded late does not hide the newest', async () => {
    const { view, cell } = await viewOf([[none, none]])
    view.hear({ kind: 'submission-received', submission: handIn(2) })
    view.hear({ kind: 'submission-graded', submission: handIn(1, { state: 'graded', score: 100 }) })
    expect(cell(0, 1)).toMatchObject({ attempts: 2, bestScore: 100, state: 'waiting', lastSubmissionId: 'h2' })
  })

  test('leaves the matrix alone for a student or exercise it does not know, and asks to be read anew', async () => {
    const { view, cell } = await viewOf([[none, none]])
    view.hear({ kind: 'submission-received', submission: handIn(1, { student: { id: 'new', displayName: 'New' } }) })
    expect(cell(0, 1)).toEqual(none)
    expect(view.isStale).toBe(true)
    await view.resource.load()
    expect(view.isStale).toBe(false)
  })

  test('names who is stuck, the most hand-ins first, and not who has full marks', async () => {
    const tried = (attempts: number, bestScore: number): Standing => ({ ...none, attempts, bestScore, state: 'graded' })
    const { view } = await viewOf([
      [tried(4, 60), tried(9, 100)],
      [tried(3, 0), tried(7, 20)],
    ])
    expect(view.stuck.map((each) => `${each.student.id} ${each.exercise.code}`)).toEqual(['s1 A2', 's0 A1'])
  })
})

describe('the keyboard in a matrix', () => {
  const press = (grid: Grid, keys: readonly string[], isFar = false) => {
    for (const key of keys) grid.press(key, isFar, 3, 4)
    return [grid.row, grid.column]
  }
  test('moves by arrows and stops at the edges', () => {
    const grid = new Grid()
    expect(press(grid, ['ArrowDown', 'ArrowRight', 'ArrowRight'])).toEqual([1, 2])
    expect(press(grid, ['ArrowUp', 'ArrowUp', 'ArrowUp'])).toEqual([0, 2])
    expect(press(grid, ['ArrowRight', 'ArrowRight', 'ArrowRight'])).toEqual([0, 3])
  })
  test('jumps to the ends of a row, and with Control to the corners', () => {
    const grid = new Grid()
    expect(press(grid, ['ArrowDown', 'End'])).toEqual([1, 3])
    expect(press(grid, ['Home'])).toEqual([1, 0])
    expect(press(grid, ['End'], true)).toEqual([2, 3])
    expect(press(grid, ['Home'], true)).toEqual([0, 0])
  })
  test('leaves other keys alone', () => expect(new Grid().press('a', false, 3, 4)).toBe(false))
})
