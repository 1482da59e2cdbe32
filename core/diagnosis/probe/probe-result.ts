import type { Addr } from '../../cpu/index.ts'
import type { DoNothing } from '../../grading/index.ts'
import type { MutantKind } from './mutants.ts'
import type { StrategyResult } from './strategies/strategy-result.ts'
import type { Suggestion } from './suggestion.ts'

/** How many mutants of one sort were tried, and what became of them: `tried` = `same` + `caught` + `survived`. */
export interface MutantCount {
  readonly tried: number
  /** They did the same as the model answer on everything tried: no mistakes, and not counted. */
  readonly same: number
  readonly caught: number
  readonly survived: number
}

export interface KindRow extends MutantCount {
  readonly kind: MutantKind
}

/** What one check did by itself, whatever the others said: no gates. */
export interface CheckRow {
  readonly id: string
  readonly title: string
  readonly kind: string
  /** Mutants that do something else and on which it was decided. A caught one is spared long cases and dear checks. */
  readonly tried: number
  readonly caught: number
  readonly survived: number
  /** Caught by no other check. */
  readonly alone: number
}

/** A mutant that does something else than the model answer and passes every check. */
export interface Survivor {
  readonly kind: MutantKind
  readonly at: Addr
  readonly found: string
  readonly wouldBe: string | null
  readonly suggestion: Suggestion
}

/** How good the checks of an exercise are at finding mistakes. Plain JSON; the same for the same exercise and options. */
export interface ProbeResult {
  readonly exercise: { readonly id: string; readonly title: string }
  readonly seed: number
  /** Mutants that there are; fewer tried means that a sample was drawn. */
  readonly made: number
  readonly isSampled: boolean
  /** Ended by `onProgress` before all were tried. */
  readonly isStopped: boolean
  readonly total: MutantCount
  /** Percent of the mutants that do something else and were caught, rounded down to two places; 100 where there is none. */
  readonly score: number
  readonly kinds: readonly KindRow[]
  readonly checks: readonly CheckRow[]
  readonly survivors: readonly Survivor[]
  /** Programs that do nothing and get marks for it; none where the checks are well made. */
  readonly gifts: readonly DoNothing[]
  /** What whole wrong answers make of the checks. */
  readonly strategies: StrategyResult
}
