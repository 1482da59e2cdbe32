import type { NewNote, Note } from '../../../server/contract/index.ts'
import { Action, Resource, type ApiFault } from '../../state/index.ts'

/** Where notes come from and go to. */
export interface NoteStore {
  list(): Promise<readonly Note[]>
  add(note: NewNote): Promise<Note>
}

/** The notes of one submission, in the order of the steps they are pinned to. */
export class NoteBook {
  /** What is being written; kept when sending fails. */
  draft = $state('')
  /** Staff may pin notes. */
  readonly isWriter: boolean
  readonly #notes: Resource<readonly Note[]>
  readonly #pin: Action<[NewNote], Note>

  constructor(store: NoteStore, isWriter: boolean) {
    this.isWriter = isWriter
    this.#notes = new Resource(() => store.list())
    this.#pin = new Action((note: NewNote) => store.add(note))
  }

  get notes(): readonly Note[] {
    return [...(this.#notes.value ?? [])].sort((a, b) => (a.step ?? -1) - (b.step ?? -1))
  }

  get isBusy(): boolean {
    return this.#pin.isBusy
  }

  get fault(): ApiFault | null {
    return this.#pin.fault ?? this.#notes.fault
  }

  load(): Promise<void> {
    return this.#notes.load()
  }

  /** Pins the draft to a step; the draft is emptied only once the server has it. */
  async pin(caseId: string, step: number): Promise<void> {
    const text = this.draft.trim()
    if (text === '') return
    const note = await this.#pin.run({ text, caseId, step })
    if (note === null) return
    this.#notes.change((notes) => [...notes, note])
    this.draft = ''
  }
}
