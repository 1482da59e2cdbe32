import { describe, expect, test } from 'vitest'
import type { ReviewItem } from '../../../server/contract/index.ts'
import { ReviewQueue } from '../../../web/state/ReviewQueue.svelte.ts'

const item = (id: string, exerciseId: string, reason: ReviewItem['reason']): ReviewItem =>
  ({
    reason,
    failed: [],
    firstWrong: null,
    submission: { id, exerciseId, exerciseCode: exerciseId, exerciseTitle: exerciseId },
  }) as unknown as ReviewItem

async function queueOf(...pages: readonly (readonly ReviewItem[])[]) {
  let asked = 0
  const total = pages.reduce((sum, page) => sum + page.length, 0)
  const queue = new ReviewQueue((after) => {
    asked += 1
    const at = after === null ? 0 : Number(after)
    const next = at + 1 < pages.length ? String(at + 1) : null
    return Promise.resolve({ items: [...(pages[at] ?? [])], next, total })
  })
  await queue.load()
  const ids = () => queue.shown.map((each) => each.submission.id)
  return { queue, ids, asked: () => asked }
}

describe('the review queue', () => {
  test('is filtered by exercise and by reason', async () => {
    const { queue, ids } = await queueOf([
      item('1', 'A2', 'failing'),
      item('2', 'A1', 'failing'),
      item('3', 'A1', 'held'),
    ])
    expect(queue.exercises.map((each) => each.code)).toEqual(['A1', 'A2'])
    queue.exercise = 'A1'
    expect(ids()).toEqual(['2', '3'])
    queue.reason = 'held'
    expect(ids()).toEqual(['3'])
    queue.exercise = queue.reason = ''
    expect(ids()).toEqual(['1', '2', '3'])
  })

  test('loses what is settled at once, and counts on', async () => {
    const { queue, ids } = await queueOf([item('1', 'A1', 'failing')], [item('2', 'A1', 'failing')])
    expect(queue.total).toBe(2)
    queue.hear({ kind: 'review-changed', submissionId: '1', courseId: 'c', state: 'settled' })
    expect([ids(), queue.total]).toEqual([[], 1])
    queue.settle('1')
    expect(queue.total).toBe(1)
  })

  test('grows by pages', async () => {
    const { queue, ids } = await queueOf([item('1', 'A1', 'failing')], [item('2', 'A1', 'failing')])
    expect(queue.pages.hasMore).toBe(true)
    await queue.pages.more.run()
    expect([ids(), queue.pages.hasMore]).toEqual([['1', '2'], false])
  })

  test('is read anew when a hand-in was graded', async () => {
    const { queue, asked } = await queueOf([])
    queue.hear({ kind: 'submission-graded', submission: item('9', 'A1', 'failing').submission })
    expect(asked()).toBe(2)
  })
})
