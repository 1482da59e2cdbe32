import type { Addr, TState } from '../cpu/index.ts'
import type { Image } from '../image/index.ts'
import { Race } from './race.ts'
import { usualTime, type Stage } from './stage.ts'
import type { Trial } from './trial.ts'

/** `late`: a run had not ended when it was stopped. */
type TrialVerdict = 'passes' | 'fails' | 'late'

/** An edited program. */
export interface EditedImage {
  readonly image: Image
  /** Of the instruction that is edited, or that one is put in before; null for a byte, which may be data. */
  readonly instruction: Addr | null
}

/** Edits put off in each of the later rounds at most. */
const mostPutOff = 4_000

/** T-states after which an edit's run is stopped at first. A tenth more than the model's, and room for short ones. */
function soon(stage: Stage): TState {
  return Math.min(stage.request.budget, 1.1 * usualTime(stage) + 500)
}

/** The same the second time: for hand-ins that are right in a slower way. */
function late(stage: Stage): TState {
  return Math.min(stage.request.budget, 4 * usualTime(stage) + 20_000)
}

/** Tries edits of a failing program: an image is dropped at the first case that it fails. */
export class TrialSearch {
  readonly trial: Trial
  readonly #program: Image
  #stages: readonly Stage[]

  /** `failing`: ids of cases that the program is known to fail; found by running it unless given. */
  constructor(trial: Trial, program: Image, failing?: readonly string[]) {
    this.trial = trial
    this.#program = program
    this.#stages = trial.stages
    const first = this.#stages.filter((stage) =>
      failing === undefined
        ? this.#verdictOnCase(stage, program, late(stage)) !== 'passes'
        : failing.includes(stage.instance.id),
    )
    this.failing = first
    this.#stages = [...first, ...this.#stages.filter((stage) => !first.includes(stage))]
  }

  /** The cases that the program fails, those with short runs first. */
  readonly failing: readonly Stage[]

  /** Addresses of the program that it executes on the case that it fails soonest, in the order of their first execution. */
  executed(): readonly Addr[] {
    const [first] = this.failing
    return first === undefined ? [] : this.trial.executed(first, this.#program, soon(first))
  }

  /**
   * Tries one edit after another, yielding each with whether it passes on all cases of the trial. Those that had not ended a
   * little after the model answer have more time when all others have been tried; where runs are long, those that had done
   * nothing for what is wrong soon (`Race`) come last, with a second yield. `model` is an answer that starts where the program does.
   */
  *tries<E extends EditedImage>(
    edits: Iterable<E>,
    model: Image | null,
  ): Generator<{ readonly edit: E; readonly isPassing: boolean }> {
    const race = model === null ? null : Race.of(this.trial, this.failing, this.#program, model)
    if (race !== null) this.#stages = [race.stage, ...this.#stages.filter((stage) => stage !== race.stage)]
    const [behind, slow]: [E[], E[]] = [[], []]
    for (const edit of edits) {
      if (race !== null && !this.#isAhead(race, edit)) {
        if (behind.length < mostPutOff) behind.push(edit)
        yield { edit, isPassing: false }
        continue
      }
      const verdict = this.#verdictOn(edit.image, soon)
      if (verdict === 'late' && slow.length < mostPutOff) slow.push(edit)
      yield { edit, isPassing: verdict === 'passes' }
    }
    for (const edit of [...slow, ...behind]) yield { edit, isPassing: this.#verdictOn(edit.image, late) === 'passes' }
  }

  #isAhead(race: Race, { image, instruction }: EditedImage): boolean {
    if (!this.trial.isAllowed(image)) return false
    return (instruction === null || race.isReached(instruction)) && race.isAhead(image)
  }

  #verdictOn(image: Image, limitOf: (stage: Stage) => TState): TrialVerdict {
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
