import { describe, expect, test } from 'vitest'
import { feedbackKinds } from '../../../core/exercise/index.ts'
import { FeedbackDraft } from '../../../web/state/FeedbackDraft.svelte.ts'

const nothing = { order: null, off: [], texts: {} }

describe('the settings of feedback while they are changed', () => {
  test('begin as they were, in the order of the level above', () => {
    const draft = new FeedbackDraft(nothing, ['mistake', 'gap'])
    expect(draft.kinds.slice(0, 2)).toEqual(['mistake', 'gap'])
    expect(draft.kinds.toSorted()).toEqual(feedbackKinds.toSorted())
    expect([draft.isChanged, draft.hasOwnOrder, draft.settings]).toEqual([false, false, nothing])
  })

  test('a kind moves one place, and not past an end', () => {
    const draft = new FeedbackDraft(nothing)
    const [first, second] = draft.kinds
    if (first === undefined || second === undefined) throw new Error('no kinds')
    draft.move(first, -1)
    expect(draft.isChanged).toBe(false)
    draft.move(first, 1)
    expect(draft.kinds.slice(0, 2)).toEqual([second, first])
    expect(draft.settings.order).toEqual(draft.kinds)
    draft.followOrder()
    expect([draft.isChanged, draft.kinds[0]]).toEqual([false, first])
  })

  test('a name switched off and on again is no change', () => {
    const draft = new FeedbackDraft(nothing)
    draft.toggle('reflect')
    expect([draft.isOff('reflect'), draft.isChanged]).toEqual([true, true])
    draft.toggle('reflect')
    expect(draft.isChanged).toBe(false)
  })

  test('words are kept, and empty ones are none', () => {
    const draft = new FeedbackDraft(nothing)
    draft.word('gap.total', 'Count again.')
    expect(draft.settings.texts).toEqual({ 'gap.total': 'Count again.' })
    draft.word('gap.total', '  ')
    expect([draft.settings.texts, draft.isChanged]).toEqual([{}, false])
  })
})
