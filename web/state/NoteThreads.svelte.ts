import type { NewNote, Note, NoteList, SavedAnswer, ServerMessage } from '../../server/contract/index.ts'
import { Action } from './Action.svelte.ts'
import type { Api } from './api.ts'
import { Resource } from './Resource.svelte.ts'

/** A note with what was answered to it, oldest first. */
export interface Thread {
  readonly note: Note
  readonly replies: readonly Note[]
}

/** What was said about one hand-in, and the ways to say more. */
export class NoteThreads {
  readonly resource: Resource<NoteList>
  readonly write: Action<[NewNote], void>
  readonly reply: Action<[noteId: string, text: string], void>
  readonly release: Action<[], void>
  readonly #id: string

  constructor(api: Api, submissionId: string) {
    this.#id = submissionId
    const params = { submissionId }
    this.resource = new Resource(() => api.call('GET /api/submissions/:submissionId/notes', { params }))
    this.write = new Action(async (body) => {
      this.#add(await api.call('POST /api/submissions/:submissionId/notes', { params, body }))
    })
    this.reply = new Action(async (noteId, text) => {
      const call = { params: { submissionId, noteId }, body: { text } }
      this.#add(await api.call('POST /api/submissions/:submissionId/notes/:noteId/replies', call))
    })
    this.release = new Action(async () => {
      this.resource.put(await api.call('POST /api/submissions/:submissionId/release', { params }))
    })
  }

  get threads(): readonly Thread[] {
    const notes = this.resource.value?.notes ?? []
    return notes
      .filter((note) => note.replyTo === null)
      .map((note) => ({ note, replies: notes.filter((each) => each.replyTo === note.id) }))
  }

  /** How many threads the student does not see yet. */
  get held(): number {
    return this.threads.filter(({ note }) => !note.isReleased).length
  }

  hear(message: ServerMessage): void {
    if (message.kind === 'note-added' && message.note.submissionId === this.#id) this.#add(message.note)
    if (message.kind === 'notes-released' && message.submissionId === this.#id) void this.resource.load()
    if (message.kind === 'refetch') void this.resource.load()
  }

  #add(note: Note): void {
    this.resource.change((list) =>
      list.notes.some((one) => one.id === note.id) ? list : { notes: [...list.notes, note] },
    )
  }
}

/** Those that answer one of the causes first, then the most used. */
export function fitting(answers: readonly SavedAnswer[], causeIds: readonly string[]): readonly SavedAnswer[] {
  const rank = (answer: SavedAnswer): number => {
    const at = answer.causeId === null ? -1 : causeIds.indexOf(answer.causeId)
    return at === -1 ? causeIds.length : at
  }
  return answers.toSorted((a, b) => rank(a) - rank(b) || b.uses - a.uses)
}
