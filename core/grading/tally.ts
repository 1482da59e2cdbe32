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
  readonly #isEndChecked: boolean
  readonly #shares: number[] = []
  /** Runs that are wholly right. */
  #whole = 0
  #right = 0
  #of = 0
  #outOfPlace = 0
  #unfinished = 0
  readonly #measured = new Set<string>()
  readonly #wanted = new Set<string>()
  #what: string | null = null

  /** `isEndChecked`: a check of its own says that the run has to come to its end, so that nothing else pays for it. */
  constructor(check: Check, isEndChecked: boolean) {
    this.#check = check
    this.#isEndChecked = isEndChecked
  }

  /** Every run counts, also those after the first wrong one. */
  get countsAll(): boolean {
    return this.#check.credit !== 'whole'
  }

  add({ outcome, measured, wanted, parts }: Decided): void {
    this.#measured.add(measured)
    this.#wanted.add(wanted)
    const isPassed = outcome === 'passed'
    const isUnfinished = outcome === 'budget-used-up' || outcome === 'machine-fault'
    if (isUnfinished) this.#unfinished += 1
    // Counting is spared where nothing is given by it.
    if (parts === null || this.#check.credit === 'whole') {
      this.#take(isPassed ? 1 : 0)
      return
    }
    const { right, of, before, outOfPlace = 0, what } = parts()
    this.#what ??= what ?? null
    this.#right += right
    this.#of += of
    this.#outOfPlace += outOfPlace
    // What was right before the program ran is nobody's work.
    const credited = right + outOfPlace / 2
    const earned = of > before ? (credited - before) / (of - before) : credited / of
    const most = isPassed || (isUnfinished && this.#isEndChecked) ? 1 : (of - 1) / of
    this.#take(isPassed ? 1 : Math.max(0, Math.min(earned, most)))
  }

  /** It left the same whatever it was given, though not the same was wanted: what is right of that, any constant would be. */
  get #isConstant(): boolean {
    const isResult = kindNamed(this.#check.kind)?.isOfMoment === true
    return isResult && this.#measured.size === 1 && this.#wanted.size > 1
  }

  #take(share: number): void {
    if (share === 1) this.#whole += 1
    this.#shares.push(share)
  }

  get share(): Share {
    const runs = this.#shares.length
    const isAll = runs > 0 && this.#whole === runs
    if (this.countsAll && this.#isConstant) return { part: 0, text: 'The same result in every run, whatever was given' }
    switch (this.#check.credit) {
      case 'whole':
        return { part: isAll ? 1 : 0, text: null }
      case 'runs':
        return {
          part: runs === 0 ? 0 : this.#whole / runs,
          text: `${this.#whole} of ${showCount(runs, 'run')} right`,
        }
      case 'parts': {
        const part = this.#what ?? kindNamed(this.#check.kind)?.part ?? 'part'
        const said = this.#of === 0 ? [] : [`${this.#right} of ${showCount(this.#of, part)} right`]
        const [astray, lost] = [this.#outOfPlace, this.#unfinished]
        if (astray > 0) said.push(`${showCount(astray, part)} in the wrong place, worth half`)
        if (lost > 0) said.push(`${showCount(lost, 'run')} did not come to an end`)
        const mean = this.#shares.reduce((sum, each) => sum + each, 0) / Math.max(1, runs)
        return { part: isAll ? 1 : mean, text: said.join('; ') }
      }
    }
  }
}
