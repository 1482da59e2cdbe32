import type { Notes } from './notes.ts'
import type { Token } from './token.ts'

interface Condition {
  readonly at: Token
  /** How many macros and REPTs it stands in; it must end in the same one. */
  readonly depth: number
  readonly isOuterActive: boolean
  isActive: boolean
  hasElse: boolean
  readonly isTrue: boolean
}

/** Which IFs are open, and whether the lines now are to be assembled. */
export class ConditionStack {
  readonly #open: Condition[] = []
  readonly #notes: Notes

  constructor(notes: Notes) {
    this.#notes = notes
  }

  get isActive(): boolean {
    return this.#open.at(-1)?.isActive ?? true
  }

  open(at: Token, depth: number, isTrue: boolean): void {
    const isOuterActive = this.isActive
    this.#open.push({ at, depth, isOuterActive, isActive: isOuterActive && isTrue, isTrue, hasElse: false })
  }

  otherwise(at: Token, depth: number): void {
    const top = this.#open.at(-1)
    if (top === undefined || top.depth !== depth || top.hasElse) return this.#stray(at)
    top.hasElse = true
    top.isActive = top.isOuterActive && !top.isTrue
  }

  close(at: Token, depth: number): void {
    const top = this.#open.at(-1)
    if (top === undefined || top.depth !== depth) this.#stray(at)
    else this.#open.pop()
  }

  /** At the end of a macro, a round or the text: whatever was opened in it and not closed is noted and closed. */
  closeAbove(depth: number): void {
    for (let top = this.#open.at(-1); top !== undefined && top.depth >= depth; top = this.#open.at(-1)) {
      this.#open.pop()
      this.#notes.error(top.at, {
        code: 'open-if',
        found: 'no ENDIF',
        allowed: 'an ENDIF for each IF',
        message: `The ENDIF for this ${top.at.text} is missing.`,
      })
    }
  }

  #stray(at: Token): void {
    this.#notes.error(at, {
      code: 'out-of-place',
      found: at.text,
      allowed: `${at.text} inside an IF`,
      message: `${at.text} belongs to an IF, and there is none open here.`,
    })
  }
}
