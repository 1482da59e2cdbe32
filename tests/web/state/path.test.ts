import { describe, expect, test } from 'vitest'
import type { ExerciseSummary, Standing } from '../../../server/contract/index.ts'
import { isStuck, nextOf, standingStatus } from '../../../web/state/path.ts'

const standing = (some: Partial<Standing>): Standing => ({
  attempts: 0,
  state: null,
  bestScore: null,
  lastReceivedAt: null,
  lastSubmissionId: null,
  ...some,
})

const exercise = (code: string, some: Partial<ExerciseSummary>): ExerciseSummary => ({
  ...{ id: code, courseId: 'c', code, title: code, summary: '', order: 0, isPublished: true, boardId: 'bench-8' },
  ...{ state: 'open', opensAt: null, dueAt: null, closesAt: null, standing: standing({}), counts: null },
  ...{ mostTries: null, pauseSeconds: null, isExtended: false },
  ...some,
})

describe('how a student stands', () => {
  test.each([
    [{}, 'not-started'],
    [{ attempts: 1, state: 'waiting' }, 'waiting'],
    [{ attempts: 2, state: 'running', bestScore: 80 }, 'running'],
    [{ attempts: 1, state: 'graded', bestScore: 100 }, 'full-marks'],
    [{ attempts: 1, state: 'graded', bestScore: 62.5 }, 'part-marks'],
    [{ attempts: 1, state: 'graded', bestScore: 0 }, 'no-marks'],
    [{ attempts: 1, state: 'unreadable' }, 'unreadable'],
    [{ attempts: 2, state: 'unreadable', bestScore: 40 }, 'part-marks'],
  ] as const)('%j is %s', (some, status) => expect(standingStatus(standing(some))).toBe(status))
  test('nothing at all is not started', () => expect(standingStatus(null)).toBe('not-started'))
})

describe('the next exercise', () => {
  const next = (...all: ExerciseSummary[]) => nextOf(all)?.code ?? null
  test('is the one due first', () =>
    expect(next(exercise('B', { dueAt: '2026-12-02' }), exercise('A', { dueAt: '2026-12-01' }))).toBe('A'))
  test('is not one with full marks, one that is shut, or one not open yet', () =>
    expect(
      next(
        exercise('A', { dueAt: '2026-12-01', standing: standing({ bestScore: 100 }) }),
        exercise('B', { dueAt: '2026-12-01', state: 'closed' }),
        exercise('C', { dueAt: '2026-12-01', state: 'scheduled' }),
        exercise('D', {}),
      ),
    ).toBe('D'))
  test('may be in its late window', () => expect(next(exercise('A', { state: 'late-window' }))).toBe('A'))
  test('is none when all is done', () =>
    expect(next(exercise('A', { standing: standing({ bestScore: 100 }) }))).toBe(null))
})

test('stuck is four hand-ins without full marks, not three and not with them', () => {
  expect([isStuck(standing({ attempts: 3 })), isStuck(standing({ attempts: 4 }))]).toEqual([false, true])
  expect(isStuck(standing({ attempts: 9, bestScore: 100 }))).toBe(false)
})
