import type { TState } from '../cpu/index.ts'
import type { Image } from '../image/index.ts'
import { usualTime, type Stage } from './stage.ts'
import type { Trial } from './trial.ts'

/** `late`: a run had not ended when it was stopped. */
export type TrialVerdict = 'passes' | 'fails' | 'late'

/** T-states after which an edit's run is stopped at first. A tenth more than the model's, and room for short ones. */
export function soon(stage: Stage): TState {
  return Math.min(stage.request.budget, 1.1 * usualTime(stage) + 500)
}

/** The same the second time: for hand-ins that are right in a slower way. */
export function late(stage: Stage): TState {
  return Math.min(stage.request.budget, 4 * usualTime(stage) + 20_000)
}

/** The cases of a trial in the order in which they are tried: an image is dropped at the first that it fails. */
export class TrialSearch {
  readonly trial: Trial
  #stages: readonly Stage[]

  constructor(trial: Trial) {
    this.trial = trial
    this.#stages = trial.stages
  }

  /** The cases that an image fails. */
  failing(image: Image): readonly Stage[] {
    return this.#stages.filter((stage) => this.#verdictOnCase(stage, image, late(stage)) !== 'passes')
  }

  putFirst(stages: readonly Stage[]): void {
    this.#stages = [...stages, ...this.#stages.filter((stage) => !stages.includes(stage))]
  }

  verdictOn(image: Image, limitOf: (stage: Stage) => TState): TrialVerdict {
    if (!this.trial.isAllowed(image)) return 'fails'
    for (const stage of this.#stages) {
      const verdict = this.#verdictOnCase(stage, image, limitOf(stage))
      if (verdict !== 'passes') return verdict
    }
    return 'passes'
  }

  #verdictOnCase(stage: Stage, image: Image, limit: TState): TrialVerdict {
    // Where the model answer comes to an end, a run that never will is no answer.
    const isEndlessEnough = stage.model?.end.kind === 'halted' || stage.model?.end.kind === 'returned'
    const { run, left } = this.trial.tried(stage, image, { limit, isEndlessEnough })
    if (left === 'endless') return 'fails'
    if (run.result.end.kind === 'budget-used-up' && limit < stage.request.budget) return 'late'
    return stage.checks.every((check) => this.trial.isPassed(check, run)) ? 'passes' : 'fails'
  }
}
