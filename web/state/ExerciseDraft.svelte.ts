import type { BoardProfile } from '../../core/board/index.ts'
import type { Exercise as Document } from '../../core/exercise/index.ts'
import type { Problem } from '../../core/image/index.ts'
import type { ApiFault } from './fault.ts'

export interface Checked {
  readonly exercise: Document | null
  readonly problems: readonly Problem[]
}

/** An exercise document while it is written: checked as it is typed, with what the server said about the text it saw. */
export class ExerciseDraft {
  readonly #check: (text: string, boards: readonly BoardProfile[]) => Checked
  readonly #boards: readonly BoardProfile[]
  #text = $state('')
  #saved = $state('')
  #refused = $state.raw<{ readonly text: string; readonly fault: ApiFault } | null>(null)
  #last = $state.raw<Document | null>(null)
  #checked = $state.raw<Checked>({ exercise: null, problems: [] })

  constructor(
    text: string,
    boards: readonly BoardProfile[],
    check: (text: string, boards: readonly BoardProfile[]) => Checked,
  ) {
    this.#boards = boards
    this.#check = check
    this.#text = text
    this.#saved = text
    this.#look()
  }

  get text(): string {
    return this.#text
  }

  get isChanged(): boolean {
    return this.#text !== this.#saved
  }

  /** The exercise as it stands; null while the text has a problem. */
  get exercise(): Document | null {
    return this.#checked.exercise
  }

  /** The newest text without a problem, as an exercise: a preview does not vanish with every half-typed word. */
  get lastGood(): Document | null {
    return this.#last
  }

  /** What is wrong with the text, found here; and what only the server found, as long as the text is the one it saw. */
  get problems(): readonly Problem[] {
    const refused = this.#refused
    if (refused === null || refused.text !== this.#text) return this.#checked.problems
    const known = this.#checked.problems.map((problem) => `${problem.at.line} ${problem.message}`)
    const others = refused.fault.faults
      .filter((fault) => !known.includes(`${fault.line ?? 1} ${fault.message}`))
      .map((fault): Problem => ({
        severity: 'error',
        code: fault.code ?? 'refused',
        at: { line: fault.line ?? 1, column: fault.column ?? 1, length: 1 },
        found: fault.pointer,
        allowed: '',
        message: fault.message,
      }))
    return [...this.#checked.problems, ...others]
  }

  type(text: string): void {
    if (text === this.#text) return
    this.#text = text
    this.#look()
  }

  /** The server took the text. */
  saved(text: string): void {
    this.#saved = text
    this.#refused = null
  }

  /** The server did not take the text. */
  refused(text: string, fault: ApiFault): void {
    this.#refused = { text, fault }
  }

  #look(): void {
    this.#checked = this.#check(this.#text, this.#boards)
    if (this.#checked.exercise !== null) this.#last = this.#checked.exercise
  }
}
