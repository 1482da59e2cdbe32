import { detectFormat, type ProgramFormat, type ReadOptions } from '../../core/assembler/index.ts'
import type { Submission } from '../../server/contract/index.ts'
import { Action } from './Action.svelte.ts'
import type { Api } from './api.ts'
import type { Reader } from './reader/Reader.svelte.ts'

/** Where a draft is kept between visits: a browser's storage, or a test's map. */
export interface Drafts {
  read(key: string): string | null
  write(key: string, text: string): void
}

export interface HandInOptions {
  readonly api: Api
  readonly reader: Reader
  readonly drafts: Drafts
  readonly exerciseId: string
  /** Forms that the exercise takes. */
  readonly accepts: readonly ProgramFormat[]
  /** Ids of the questions that are answered in words with it. */
  readonly questions: readonly string[]
  readonly options: ReadOptions
  /** A name for one try to hand in; the server takes a repeated one once. */
  readonly newKey: () => string
}

/** The text that is about to be handed in: read as it is typed, kept as a draft, sent once. */
export class HandIn {
  readonly #house: HandInOptions
  readonly #submit: Action<[], Submission>
  #text = $state('')
  #chosen = $state<ProgramFormat | null>(null)
  #answers = $state<Record<string, string>>({})
  #key = ''

  constructor(options: HandInOptions) {
    this.#house = options
    this.#text = options.drafts.read(this.#draftKey) ?? ''
    for (const id of options.questions) this.#answers[id] = options.drafts.read(this.#answerKey(id)) ?? ''
    this.#key = options.newKey()
    this.#submit = new Action(() =>
      options.api.call('POST /api/exercises/:exerciseId/submissions', {
        params: { exerciseId: options.exerciseId },
        body: { format: this.format, text: this.#text, ...(this.#hasAnswers ? { answers: { ...this.#answers } } : {}) },
        headers: { 'idempotency-key': this.#key },
      }),
    )
    this.#read()
  }

  get text(): string {
    return this.#text
  }

  /** How the text is read: as chosen, else as it looks. */
  get format(): ProgramFormat {
    return this.#chosen ?? this.guess
  }

  get guess(): ProgramFormat {
    const guess = detectFormat(this.#text)
    return this.#house.accepts.includes(guess) ? guess : (this.#house.accepts[0] ?? guess)
  }

  get chosen(): ProgramFormat | null {
    return this.#chosen
  }

  get reader(): Reader {
    return this.#house.reader
  }

  get submit(): Action<[], Submission> {
    return this.#submit
  }

  get isEmpty(): boolean {
    return this.#text.trim() === ''
  }

  type(text: string): void {
    if (text === this.#text) return
    this.#text = text
    this.#key = this.#house.newKey()
    this.#house.drafts.write(this.#draftKey, text)
    this.#read()
  }

  /** What is written to a question so far. */
  answer(questionId: string): string {
    return this.#answers[questionId] ?? ''
  }

  write(questionId: string, text: string): void {
    if (text === this.#answers[questionId]) return
    this.#answers[questionId] = text
    this.#key = this.#house.newKey()
    this.#house.drafts.write(this.#answerKey(questionId), text)
  }

  /** Null goes back to the guess. */
  choose(format: ProgramFormat | null): void {
    this.#chosen = format
    this.#key = this.#house.newKey()
    this.#read()
  }

  get #draftKey(): string {
    return `hexcairn-draft-${this.#house.exerciseId}`
  }

  #answerKey(questionId: string): string {
    return `${this.#draftKey}-${questionId}`
  }

  get #hasAnswers(): boolean {
    return Object.values(this.#answers).some((text) => text.trim() !== '')
  }

  #read(): void {
    this.#house.reader.read(this.format, this.#text, this.#house.options)
  }
}

export const browserDrafts: Drafts = {
  read(key) {
    try {
      return localStorage.getItem(key)
    } catch {
      return null
    }
  },
  write(key, text) {
    try {
      localStorage.setItem(key, text)
    } catch {
      // Storage may be forbidden or full; the text is then kept as long as the page.
    }
  },
}
