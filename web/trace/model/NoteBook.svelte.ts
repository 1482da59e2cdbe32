import type { NewNote, Note, SavedAnswer, ServerMessage } from '../../../server/contract/index.ts'
import { Action, Resource, type ApiFault } from '../../state/index.ts'

/** Where notes come from and go to. */
export interface NoteStore {
  list(): Promise<readonly Note[]>
  add(note: NewNote): Promise<Note>
  reply(noteId: string, text: string): Promise<Note>
  /** Lets the student see every note; gives them all. */
  release(): Promise<readonly Note[]>
  /** Remarks that staff of the course keep. */
  answers(): Promise<readonly SavedAnswer[]>
  keep(text: string, causeId: string | null): Promise<SavedAnswer>
}

/** A note with what was answered to it. */
export interface NoteThread {
  readonly note: Note
  readonly replies: readonly Note[]
}

/** What a note is pinned to: a step or a stretch of a case, and the view that its author had. */
export interface Pin {
  readonly caseId: string
  readonly step: number
  readonly toStep: number | null
  readonly view: string
}

/** The notes of one submission, in the order of the steps they are pinned to. */
export class NoteBook {
  /** What is being written; kept when sending fails. */
  draft = $state('')
  /** The student is to see it at once. */
  isReleasedAtOnce = $state(false)
  /** Staff may pin notes. */
  readonly isWriter: boolean
  readonly #notes: Resource<readonly Note[]>
  readonly #answers: Resource<readonly SavedAnswer[]>
  readonly #pin: Action<[NewNote], Note>
  readonly #reply: Action<[noteId: string, text: string], Note>
  readonly #release: Action<[], readonly Note[]>
  readonly #keep: Action<[text: string, causeId: string | null], SavedAnswer>

  constructor(store: NoteStore, isWriter: boolean) {
    this.isWriter = isWriter
    this.#notes = new Resource(() => store.list())
    this.#answers = new Resource(() => store.answers())
    this.#pin = new Action((note: NewNote) => store.add(note))
    this.#reply = new Action((noteId: string, text: string) => store.reply(noteId, text))
    this.#release = new Action(() => store.release())
    this.#keep = new Action((text: string, causeId: string | null) => store.keep(text, causeId))
  }

  get threads(): readonly NoteThread[] {
    const notes = this.#notes.value ?? []
    return notes
      .filter(({ replyTo }) => replyTo === null)
      .sort((a, b) => (a.step ?? -1) - (b.step ?? -1))
      .map((note) => ({ note, replies: notes.filter(({ replyTo }) => replyTo === note.id) }))
  }

  /** Threads that the student does not see yet. */
  get held(): number {
    return this.threads.filter(({ note }) => !note.isReleased).length
  }

  get isBusy(): boolean {
    return this.#pin.isBusy || this.#reply.isBusy || this.#release.isBusy || this.#keep.isBusy
  }

  get fault(): ApiFault | null {
    return this.#pin.fault ?? this.#reply.fault ?? this.#release.fault ?? this.#keep.fault ?? this.#notes.fault
  }

  /** Saved answers: those that answer one of the causes first, then the most used. */
  answersFor(causeIds: readonly string[]): readonly SavedAnswer[] {
    const rank = ({ causeId }: SavedAnswer) => {
      const at = causeIds.indexOf(causeId ?? '')
      return at < 0 ? causeIds.length : at
    }
    return (this.#answers.value ?? []).toSorted((a, b) => rank(a) - rank(b) || b.uses - a.uses)
  }

  async load(): Promise<void> {
    await Promise.all([this.#notes.load(), this.isWriter ? this.#answers.load() : undefined])
  }

  hear(message: ServerMessage, submissionId: string): void {
    if (message.kind === 'note-added' && message.note.submissionId === submissionId) this.#put(message.note)
    const isReleased = message.kind === 'notes-released' && message.submissionId === submissionId
    if (isReleased || message.kind === 'refetch') void this.#notes.load()
  }

  /** Pins the draft; it is emptied only once the server has it. */
  async pin(to: Pin): Promise<void> {
    const text = this.draft.trim()
    if (text === '') return
    const note = await this.#pin.run({ text, ...to, isReleased: this.isReleasedAtOnce })
    if (note === null) return
    this.#put(note)
    this.draft = ''
  }

  /** Pins a saved answer as it stands, and counts its use. */
  async use(answer: SavedAnswer, to: Pin): Promise<void> {
    const note = await this.#pin.run({ savedAnswerId: answer.id, ...to, isReleased: this.isReleasedAtOnce })
    if (note === null) return
    this.#put(note)
    await this.#answers.load()
  }

  /** Keeps the draft for other hand-ins. */
  async keep(causeId: string | null): Promise<void> {
    const kept = await this.#keep.run(this.draft.trim(), causeId)
    if (kept !== null) this.#answers.change((answers) => [...answers, kept])
  }

  /** Whether it was sent. */
  async reply(noteId: string, text: string): Promise<boolean> {
    const note = await this.#reply.run(noteId, text.trim())
    if (note !== null) this.#put(note)
    return note !== null
  }

  async release(): Promise<void> {
    const notes = await this.#release.run()
    if (notes !== null) this.#notes.put(notes)
  }

  #put(note: Note): void {
    this.#notes.change((notes) => (notes.some(({ id }) => id === note.id) ? notes : [...notes, note]))
  }
}
