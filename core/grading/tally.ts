import { kindNamed, type Check } from '../exercise/index.ts'
import { showCount } from '../image/index.ts'
import type { Decided } from './decide.ts'

/** How much of a check is right, over all its runs. */
export interface Share {
  /** 0 to 1; 1 only where all of it is. */
  readonly part: number
  /** `13 of 16 runs right`, `28 of 32 bytes right`; null where all or nothing counts. */
  readonly text: string | null
}

/** Counts what is right of one check, run by run. */
export class Tally {
  readonly #check: Check
  readonly #shares: number[] = []
  #passed = 0
  #right = 0
  #of = 0
  #unfinished = 0
  #what: string | null = null

  constructor(check: Check) {
    this.#check = check
  }

  /** Every run counts, also those after the first wrong one. */
  get countsAll(): boolean {
    return this.#check.credit !== 'whole'
  }

  add({ outcome, parts }: Decided): void {
    const isPassed = outcome === 'passed'
    if (isPassed) this.#passed += 1
    if (parts === null) {
      this.#unfinished += 1
      this.#shares.push(isPassed ? 1 : 0)
      return
    }
    const { right, of, before, what } = parts()
    this.#what ??= what ?? null
    this.#right += right
    this.#of += of
    // What was right before the program ran is nobody's work.
    const earned = of > before ? (right - before) / (of - before) : right / of
    this.#shares.push(isPassed ? 1 : Math.max(0, Math.min(earned, (of - 1) / of)))
  }

  get share(): Share {
    const runs = this.#shares.length
    const isAll = runs > 0 && this.#passed === runs
    switch (this.#check.credit) {
      case 'whole':
        return { part: isAll ? 1 : 0, text: null }
      case 'runs':
        return {
          part: runs === 0 ? 0 : this.#passed / runs,
          text: `${this.#passed} of ${showCount(runs, 'run')} right`,
        }
      case 'parts': {
        const part = this.#what ?? kindNamed(this.#check.kind)?.part ?? 'part'
        const said = this.#of === 0 ? [] : [`${this.#right} of ${showCount(this.#of, part)} right`]
        const lost = this.#unfinished
        if (lost > 0) said.push(`${showCount(lost, 'run')} did not come to an end`)
        const mean = this.#shares.reduce((sum, each) => sum + each, 0) / Math.max(1, runs)
        return { part: isAll ? 1 : mean, text: said.join('; ') }
      }
    }
  }
}
