import { describe, expect, test } from 'vitest'
import type { Note, SavedAnswer } from '../../../server/contract/index.ts'
import { Api } from '../../../web/state/api.ts'
import { fitting, NoteThreads } from '../../../web/state/NoteThreads.svelte.ts'

const note = (id: string, more: Partial<Note> = {}): Note => ({
  id,
  submissionId: 's',
  author: { id: 'a', displayName: 'Asha' },
  authorRole: 'assistant',
  caseId: null,
  step: null,
  toStep: null,
  view: null,
  text: `text of ${id}`,
  replyTo: null,
  isReleased: true,
  savedAnswerId: null,
  createdAt: '2026-11-25T10:00:00.000Z',
  ...more,
})

/** Answers each route with what is given, and keeps what was asked. */
function apiOf(replies: Record<string, unknown>): { api: Api; asked: [string, unknown][] } {
  const asked: [string, unknown][] = []
  const api = new Api(async (path, request) => {
    const key = `${request?.method} ${String(path)}`
    asked.push([key, request?.body === undefined ? null : JSON.parse(String(request.body))])
    return Response.json(replies[key])
  })
  return { api, asked }
}

describe('notes in threads', () => {
  const list = { notes: [note('1', { isReleased: false }), note('2'), note('3', { replyTo: '1', isReleased: false })] }

  test('a reply stands under the note it answers', async () => {
    const notes = new NoteThreads(apiOf({ 'GET /api/submissions/s/notes': list }).api, 's')
    await notes.resource.load()
    expect(notes.threads.map(({ note, replies }) => [note.id, replies.map(({ id }) => id)])).toEqual([
      ['1', ['3']],
      ['2', []],
    ])
    expect(notes.held).toBe(1)
  })

  test('what was written, and what comes live, is there once', async () => {
    const { api, asked } = apiOf({
      'GET /api/submissions/s/notes': list,
      'POST /api/submissions/s/notes/2/replies': note('4', { replyTo: '2' }),
    })
    const notes = new NoteThreads(api, 's')
    await notes.resource.load()
    await notes.reply.run('2', 'I see.')
    notes.hear({ kind: 'note-added', courseId: 'c', note: note('4', { replyTo: '2' }) })
    notes.hear({ kind: 'note-added', courseId: 'c', note: note('5', { submissionId: 'other' }) })
    expect(notes.threads.map(({ replies }) => replies.length)).toEqual([1, 1])
    expect(asked.at(-1)).toEqual(['POST /api/submissions/s/notes/2/replies', { text: 'I see.' }])
  })

  test('released, none is held', async () => {
    const { api } = apiOf({
      'GET /api/submissions/s/notes': list,
      'POST /api/submissions/s/release': { notes: list.notes.map((each) => ({ ...each, isReleased: true })) },
    })
    const notes = new NoteThreads(api, 's')
    await notes.resource.load()
    await notes.release.run()
    expect(notes.held).toBe(0)
  })
})

test('answers to the likeliest cause come first, then the most used', () => {
  const answer = (id: string, causeId: string | null, uses: number): SavedAnswer => ({
    id,
    courseId: 'c',
    text: id,
    causeId,
    uses,
    lastUsedAt: null,
    createdBy: { id: 'a', displayName: 'Asha' },
    createdAt: '2026-11-25T10:00:00.000Z',
  })
  const all = [answer('any', null, 9), answer('second', 'no-end', 1), answer('first', 'not-reloaded', 0)]
  expect(fitting(all, ['not-reloaded', 'no-end']).map(({ id }) => id)).toEqual(['first', 'second', 'any'])
  expect(fitting(all, []).map(({ id }) => id)).toEqual(['any', 'second', 'first'])
})
