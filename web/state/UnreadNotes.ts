import type { Note } from '../../server/contract/index.ts'

type Store = Pick<Storage, 'getItem' | 'setItem'>

/** Which notes of a hand-in the reader has not had on the screen before; kept in this browser. */
export class UnreadNotes {
  readonly #store: Store
  readonly #key: string
  readonly #readerId: string | null
  /** Until when everything was seen; nothing before the first visit. */
  readonly #seenUntil: string

  constructor(store: Store, submissionId: string, readerId: string | null) {
    this.#store = store
    this.#key = `hexcairn-notes-seen:${submissionId}`
    this.#readerId = readerId
    this.#seenUntil = store.getItem(this.#key) ?? ''
  }

  /** Own notes are never unread; what was unread when the page was opened stays marked until one leaves it. */
  has(note: Note): boolean {
    return note.author.id !== this.#readerId && note.createdAt > this.#seenUntil
  }

  /** These are on the screen now: the next visit finds them read. */
  read(notes: readonly Note[]): void {
    const newest = notes.reduce((until, { createdAt }) => (createdAt > until ? createdAt : until), this.#seenUntil)
    if (newest !== '') this.#store.setItem(this.#key, newest)
  }
}
