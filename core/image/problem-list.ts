import { showCount } from './digits.ts'
import type { Place, Problem } from './problem.ts'
import { maxTextLength } from './text-lines.ts'

/** Problems shown in full. What comes after is counted, so that a spoiled megabyte does not become a hundred. */
export const maxProblems = 200

/** What one problem says, without its place. */
export type ProblemText = Pick<Problem, 'code' | 'found' | 'allowed' | 'message'>

/** Collects the problems of one text while it is read. */
export class ProblemList {
  readonly #kept: Problem[] = []
  #unlisted = 0
  #errors = 0

  /** True once one of the problems is an error, listed or not. */
  get hasErrors(): boolean {
    return this.#errors > 0
  }

  /** True once further problems are only counted: then nobody need look for words. */
  get isFull(): boolean {
    return Math.min(this.#errors, this.#kept.length) >= maxProblems
  }

  /** Counts an error that is not listed, since the list is full. */
  countError(): void {
    this.#errors += 1
    this.#unlisted += 1
  }

  error(at: Place, text: ProblemText): void {
    this.#errors += 1
    this.#add({ severity: 'error', ...text, at })
  }

  warning(at: Place, text: ProblemText): void {
    this.#add({ severity: 'warning', ...text, at })
  }

  /** True, with an error noted, when a text is longer than any program: nothing of it should be read. */
  refuseLength(text: string): boolean {
    if (text.length <= maxTextLength) return false
    this.error(startOfText, {
      code: 'text-too-long',
      found: showCount(text.length, 'character'),
      allowed: `up to ${showCount(maxTextLength, 'character')}`,
      message: `The text has ${showCount(text.length, 'character')}; a program may have up to ${showCount(maxTextLength, 'character')}. Nothing was read.`,
    })
    return true
  }

  /** In the order of the text; a last entry counts what was left out. */
  toArray(): readonly Problem[] {
    const sorted = [...this.#kept].sort((a, b) => a.at.line - b.at.line || a.at.column - b.at.column)
    const last = sorted.at(-1)
    if (this.#unlisted === 0 || last === undefined) return sorted
    return [
      ...sorted,
      {
        severity: this.hasErrors ? 'error' : 'warning',
        code: 'more-problems',
        at: last.at,
        found: showCount(this.#unlisted, 'further problem'),
        allowed: 'none',
        message: `${showCount(this.#unlisted, 'further problem')} in this text ${this.#unlisted === 1 ? 'is' : 'are'} not listed. Mend these first.`,
      },
    ]
  }

  #add(problem: Problem): void {
    if (this.#kept.length < maxProblems) this.#kept.push(problem)
    else {
      this.#unlisted += 1
      // A full list of warnings hides no error.
      const warning =
        problem.severity === 'error' ? this.#kept.findLastIndex((each) => each.severity === 'warning') : -1
      if (warning >= 0) this.#kept.splice(warning, 1, problem)
    }
  }
}

/** The place of a problem that belongs to the text as a whole. */
export const startOfText: Place = { line: 1, column: 1, length: 1 }
