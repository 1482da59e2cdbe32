import { beforeEach, describe, expect, test } from 'vitest'
import type { NewNote, Note, SavedAnswer } from '../../../server/contract/index.ts'
import { NoteBook, type NoteStore } from '../../../web/trace/model/NoteBook.svelte.ts'

const person = { id: 'u', displayName: 'Teo Banda' }
const note = (id: string, some: Partial<Note> = {}): Note => ({
  ...{ id, submissionId: 'h', author: person, authorRole: 'assistant', caseId: 'a', step: 1, toStep: null, view: null },
  ...{ text: id, replyTo: null, isReleased: false, savedAnswerId: null, createdAt: '2026-11-25T12:00:00Z' },
  ...some,
})
const answer = (id: string, causeId: string | null, uses: number): SavedAnswer => ({
  ...{ id, courseId: 'c', text: id, causeId, uses, lastUsedAt: null, createdBy: person },
  createdAt: '2026-11-25T12:00:00Z',
})
const here = { caseId: 'a', step: 7, toStep: null, view: 'case=a&step=7' }

let added: NewNote[]
let kept: Note[]
let isDown: boolean
let store: NoteStore
beforeEach(() => {
  added = []
  kept = [note('later', { step: 9 }), note('first', { step: 2 }), note('reply', { replyTo: 'first', step: null })]
  isDown = false
  store = {
    list: () => Promise.resolve(kept),
    add: (body) => {
      if (isDown) return Promise.reject(new Error('down'))
      added.push(body)
      return Promise.resolve(note('new', { text: body.text ?? 'saved', step: body.step ?? null }))
    },
    reply: (noteId, text) => Promise.resolve(note(`re-${noteId}`, { replyTo: noteId, text })),
    release: () => Promise.resolve(kept.map((each) => ({ ...each, isReleased: true }))),
    answers: () => Promise.resolve([answer('plain', null, 9), answer('fits', 'zero-test-spoils-a', 1)]),
    keep: (text, causeId) => Promise.resolve(answer(text, causeId, 0)),
  }
})
const open = async (isWriter = true) => {
  const book = new NoteBook(store, isWriter)
  await book.load()
  return book
}

describe('the notes of a hand-in', () => {
  test('stand in the order of their steps, each with what was answered', async () => {
    const { threads } = await open()
    expect(threads.map((thread) => [thread.note.id, thread.replies.map(({ id }) => id)])).toEqual([
      ['first', ['reply']],
      ['later', []],
    ])
  })

  test('what is written is pinned where the room stands, and held until it is released', async () => {
    const book = await open()
    book.draft = '  You reload B too late. '
    await book.pin(here)
    expect(added).toEqual([{ ...here, text: 'You reload B too late.', isReleased: false }])
    expect([book.draft, book.held]).toEqual(['', 3])
    await book.release()
    expect(book.held).toBe(0)
  })

  test('an empty draft is not sent, and one that could not be sent is kept', async () => {
    const book = await open()
    await book.pin(here)
    isDown = true
    book.draft = 'still here'
    await book.pin(here)
    expect([added.length, book.draft, book.fault === null]).toEqual([0, 'still here', false])
  })

  test('a saved answer is pinned by its id, at once where that is wished', async () => {
    const book = await open()
    book.isReleasedAtOnce = true
    const [fits] = book.answersFor(['zero-test-spoils-a'])
    if (fits === undefined) throw new Error('no answer')
    await book.use(fits, here)
    expect(added).toEqual([{ ...here, savedAnswerId: 'fits', isReleased: true }])
  })

  test('saved answers that fit the cause come first, then the most used', async () => {
    const book = await open()
    expect(book.answersFor(['zero-test-spoils-a']).map(({ id }) => id)).toEqual(['fits', 'plain'])
    expect(book.answersFor([]).map(({ id }) => id)).toEqual(['plain', 'fits'])
  })

  test('a student loads no saved answers', async () => {
    store = { ...store, answers: () => Promise.reject(new Error('not for students')) }
    const book = await open(false)
    expect([book.fault, book.answersFor([])]).toEqual([null, []])
  })

  test('a note that arrives twice stands once', async () => {
    const book = await open()
    const message = { kind: 'note-added' as const, courseId: 'c', note: note('live', { step: 5 }) }
    book.hear(message, 'h')
    book.hear(message, 'h')
    book.hear({ ...message, note: note('elsewhere', { submissionId: 'other' }) }, 'h')
    expect(book.threads.map((thread) => thread.note.id)).toEqual(['first', 'live', 'later'])
  })

  test('an answer joins its thread', async () => {
    const book = await open()
    expect(await book.reply('later', 'Thanks')).toBe(true)
    expect(book.threads[1]?.replies.map(({ text }) => text)).toEqual(['Thanks'])
  })
})
