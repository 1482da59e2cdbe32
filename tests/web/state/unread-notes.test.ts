import { expect, test } from 'vitest'
import type { Note } from '../../../server/contract/index.ts'
import { UnreadNotes } from '../../../web/state/UnreadNotes.ts'

const note = (authorId: string, createdAt: string): Note => ({
  ...{ id: createdAt, submissionId: 'h', author: { id: authorId, displayName: authorId }, authorRole: 'assistant' },
  ...{ caseId: null, step: null, toStep: null, view: null, text: '', replyTo: null, isReleased: true },
  ...{ savedAnswerId: null, createdAt },
})
function store() {
  const kept = new Map<string, string>()
  return {
    getItem: (key: string) => kept.get(key) ?? null,
    setItem: (key: string, value: string) => void kept.set(key, value),
  }
}
const [early, late] = [note('teo', '2026-11-25T12:00:00Z'), note('teo', '2026-11-26T12:00:00Z')]

test('a note is unread until it has been on the screen, and stays marked while the page is open', () => {
  const kept = store()
  const first = new UnreadNotes(kept, 'h', 'ana')
  expect(first.has(early)).toBe(true)
  first.read([early])
  expect(first.has(early)).toBe(true)
  const next = new UnreadNotes(kept, 'h', 'ana')
  expect([next.has(early), next.has(late)]).toEqual([false, true])
})

test('own notes are never unread, and each hand-in counts for itself', () => {
  const kept = store()
  new UnreadNotes(kept, 'h', 'ana').read([late])
  expect(new UnreadNotes(kept, 'other', 'ana').has(early)).toBe(true)
  expect(new UnreadNotes(kept, 'other', 'teo').has(early)).toBe(false)
})
