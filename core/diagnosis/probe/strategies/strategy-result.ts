import type { Suggestion } from '../suggestion.ts'
import type { StrategyKind } from './strategy.ts'

/** How many strategies of one kind were tried: `tried` = `same` + `caught` + `survived` + `asked`; `untried` come beside them. */
export interface StrategyCount {
  readonly tried: number
  /** They did the same as the model answer on every input tried. */
  readonly same: number
  readonly caught: number
  /** They pass every check, and are wrong on an input that the task surely allows. */
  readonly survived: number
  /** They pass every check, and do something else only where the author has to say whether the task allows it. */
  readonly asked: number
  /** Left out for want of time, or not compared on every input. */
  readonly untried: number
}

export interface StrategyRow extends StrategyCount {
  readonly kind: StrategyKind
}

/** Wrong answers of one sort that pass every check. */
export interface SurvivingStrategy {
  readonly kind: StrategyKind
  /** `A program that looks only at the low byte of a 16-bit count`. */
  readonly words: string
  /** What tells those of the sort apart. */
  readonly details: readonly string[]
  readonly count: number
  /** False: a question for the author, whether the task allows the input. */
  readonly isSure: boolean
  /** What stops the first of them. */
  readonly suggestion: Suggestion
}

/** What whole wrong answers make of the checks. Plain JSON. */
export interface StrategyResult {
  readonly made: number
  /** Inputs beside those of the cases on which they were compared with the model answer. */
  readonly inputs: number
  /** Edits of the model answer that no case tells from it, compared with it on those inputs; or not, for want of time. */
  readonly edits: { readonly tried: number; readonly untried: number }
  readonly total: StrategyCount
  readonly kinds: readonly StrategyRow[]
  /** The sure ones first. */
  readonly survivors: readonly SurvivingStrategy[]
}
