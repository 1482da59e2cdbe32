import type { Image } from '../../../image/index.ts'

/** Families of wrong answers, in the order in which they are tried. */
export const strategyKinds = [
  'nothing',
  'constant',
  'look-up',
  'stored',
  'first-call',
  'later-calls',
  'repeated',
  'first-inputs',
  'keys',
  'columns',
  'digits',
  'switches',
  'flag',
  'comparison',
  'count',
  'carry',
  'boundary',
] as const

export type StrategyKind = (typeof strategyKinds)[number]

/** What an input that no case has may be about. */
export type ProbeSubject = 'values' | 'calls' | 'keys' | 'switches'

/** A whole wrong answer, made from the exercise. */
export interface Strategy {
  readonly kind: StrategyKind
  /** `A program that …`; what several share word for word is told once. */
  readonly words: string
  /** What tells it from others with the same words: `key 5 like 0`; null where it stands alone. */
  readonly detail: string | null
  readonly image: Image
  /**
   * Size and time are its own. A model answer with something put in is longer and slower than what a student would write,
   * which is not what it is tried for.
   */
  readonly isWhole: boolean
  /** Inputs on which it may do something else than the model answer, beside those of the cases. */
  readonly subjects: readonly ProbeSubject[]
  /** What a run of it does more often than the model answer, where nothing else shows it; and the check that counts it. */
  readonly repeats?: {
    readonly words: string
    readonly check: Readonly<Record<string, unknown>> | null
    /** The case on which it counts. */
    readonly caseId: string | null
  }
}
