import type { BoardProfile } from '../../board/index.ts'
import type { Program } from '../../assembler/index.ts'
import type { TState } from '../../cpu/index.ts'
import { callsOfCase, runAfterCall, type CaseRun, type Exercise } from '../../exercise/index.ts'
import type { Image } from '../../image/index.ts'
import { record } from '../../run/index.ts'
import { usualTime, Trial, type Stage, type StagedCheck, type Tried } from '../../trial/index.ts'
import {
  behaviourOf,
  chanceBetween,
  differenceBetween,
  type Behaviour,
  type Chance,
  type Difference,
} from './behaviour.ts'
import type { Found } from './suggestion.ts'

/** What became of a program that may be wrong. */
export interface Fate {
  readonly what: 'same' | 'caught' | 'survived'
  /** Ids of the checks that were decided on it, and of those that it failed. */
  readonly decided: ReadonlySet<string>
  readonly failed: ReadonlySet<string>
  /** How a survivor can be told from the model answer. */
  readonly found: Found | null
}

/** A mutant that was caught is not run any more on cases that take longer than this. */
export const longCase: TState = 500_000
/** Checks from this `cost` on take another run or a recording: a mutant that was caught is spared them. */
const dearCheck = 2
/** Sets of other drawn values on which a survivor must do the same as the model answer to count as no mistake. */
const roundsAnew = 4

/** What a case, or a check on it, makes of a program that is not the model answer. */
export type Telling = 'told' | 'missed' | 'model-fails'

/** Whether failing this check is no fault of what is tried. */
export type Excuses = (check: StagedCheck, run: CaseRun) => boolean

type Verdicts = {
  readonly decided: Set<string>
  readonly failed: Set<string>
  readonly excuses?: Excuses | undefined
}

/** Runs wrong programs beside a model answer on the cases of an exercise. */
export class Prober {
  readonly trial: Trial
  readonly #exercise: Exercise
  readonly #model: Program
  readonly #isThorough: boolean
  /** By round, the cases drawn anew for it. */
  readonly #again = new Map<number, Map<Stage, Stage>>()
  readonly #known = new Map<Stage, { readonly behaviour: Behaviour; readonly tStates: TState }>()

  readonly #chances = new Map<Stage, Chance>()
  #asRight: readonly Image[] = []

  /** With `isThorough` nothing is spared: every run to its end or budget, every check on every case. */
  constructor(exercise: Exercise, profile: BoardProfile, model: Program, seed: number, isThorough = false) {
    this.#exercise = exercise
    this.#model = model
    this.#isThorough = isThorough
    this.trial = new Trial(exercise, profile, model, seed)
  }

  /** Programs that do what the model answer does, at other addresses and a little later. */
  set asRight(images: readonly Image[]) {
    this.#asRight = images
  }

  isModelPassing(): boolean {
    return this.trial.stages.every((stage) => {
      const run = this.trial.run(stage, this.#model.image)
      return stage.checks.every((check) => this.trial.isPassed(check, run))
    })
  }

  /** `excuses` are checks that it may fail and count as passing; what is left to chance tells it not then. */
  fateOf(image: Image, excuses?: Excuses): Fate {
    const verdicts: Verdicts = { decided: new Set(), failed: new Set(), excuses }
    const { decided, failed } = verdicts
    const seen = new Map<Stage, Behaviour>()
    for (const stage of this.trial.stages) {
      if (failed.size > 0 && !this.#isThorough && isLong(stage)) continue
      // A check that has failed needs no second run to fail on.
      const open = stage.checks.filter(({ id }) => !failed.has(id))
      if (open.length === 0) continue
      const behaviour = this.#decide(stage, image, open, verdicts)
      if (behaviour !== null) seen.set(stage, behaviour)
    }
    if (failed.size > 0) return { what: 'caught', decided, failed, found: null }
    const found = this.#differenceOf(image, seen, excuses !== undefined)
    return { what: found === null ? 'same' : 'survived', decided, failed, found }
  }

  /** Runs a case and decides checks on it. What the mutant did is kept where a second run would take long. */
  #decide(stage: Stage, image: Image, open: readonly StagedCheck[], verdicts: Verdicts): Behaviour | null {
    const tried = this.#tried(stage, image, open, verdicts)
    if (tried === null) return null
    if (this.#isThorough || !isLong(stage)) {
      this.#evaluate(open, tried.run, verdicts)
      return null
    }
    // Watching the stack and writes takes most of the time of a long run, so first without.
    this.#evaluate(
      open.filter(({ watches }) => watches === 'nothing'),
      tried.run,
      verdicts,
    )
    if (verdicts.failed.size > 0) return null
    const behaviour = behaviourOf(this.#exercise, tried.run, stage.instance.of.id)
    const watching = open.filter(({ watches }) => watches !== 'nothing')
    if (watching.length > 0) {
      const watches = watching.some((check) => check.watches === 'writes') ? 'writes' : 'stack'
      this.#evaluate(watching, this.trial.tried(stage, image, { watches }).run, verdicts)
    }
    return behaviour
  }

  /** A run of which every verdict is sure; null where a check has been decided without, or none is wanted any more. */
  #tried(stage: Stage, image: Image, open: readonly StagedCheck[], { decided, failed }: Verdicts): Tried | null {
    const watching = isLong(stage) ? { watches: 'nothing' as const } : {}
    if (this.#isThorough) return this.trial.tried(stage, image)
    const needing = open.filter(({ needsEnd }) => needsEnd)
    const limit = limitOf(usualTime(stage))
    const tried = this.trial.tried(stage, image, { limit, isEndlessEnough: needing.length > 0, ...watching })
    if (tried.left === 'ended') return tried
    if (needing.length > 0 && (tried.left === 'endless' || !this.trial.wouldEnd(stage))) {
      for (const { id } of needing) {
        decided.add(id)
        failed.add(id)
      }
      return null
    }
    return failed.size > 0 ? null : this.trial.tried(stage, image, watching)
  }

  #evaluate(checks: readonly StagedCheck[], run: CaseRun, { decided, failed, excuses }: Verdicts): void {
    for (const check of checks) {
      if (failed.size > 0 && check.cost >= dearCheck && !this.#isThorough) continue
      decided.add(check.id)
      if (!this.trial.isPassed(check, run) && excuses?.(check, run) !== true) failed.add(check.id)
    }
  }

  /**
   * How a program differs from the model answer on a case that is none of the exercise's; null where nobody can tell. One
   * that `isMoved` is the model answer with something put in.
   */
  differenceOn(stage: Stage, image: Image, isMoved: boolean): Difference | null {
    const model = this.#modelOn(stage)
    const other = this.#behaviourOn(stage, image, model.tStates)
    return this.#between(stage, model.behaviour, other, [this.#model.image, image], isMoved)
  }

  #between(
    stage: Stage,
    model: Behaviour,
    other: Behaviour,
    programs: readonly Image[],
    isMoved: boolean,
  ): Difference | null {
    const difference = differenceBetween(model, other, programs)
    if (difference === null || !isMoved) return difference
    return differenceBetween(model, other, programs, this.#chanceOn(stage))
  }

  #chanceOn(stage: Stage): Chance {
    const before = this.#chances.get(stage)
    if (before !== undefined) return before
    const model = this.#modelOn(stage)
    const others = this.#asRight.map((image) => this.#behaviourOn(stage, image, model.tStates))
    const chance = chanceBetween(model.behaviour, others, [this.#model.image, ...this.#asRight])
    this.#chances.set(stage, chance)
    return chance
  }

  /**
   * Whether an exercise that has this one's cases and checks and more tells a program from the model answer on a case: it
   * fails one of its checks there, none of those that it is excused from, and the model answer passes them all.
   */
  telling(exercise: Exercise, caseId: string, image: Image, excuses?: Excuses): Telling {
    const { trial } = this
    const stages = trial.stagesOf(exercise, caseId)
    const fails = (stage: Stage, program: Image, excused?: Excuses): boolean =>
      stage.checks.some((check) => {
        const { run } = trial.tried(stage, program)
        return !trial.isPassed(check, run) && excused?.(check, run) !== true
      })
    if (stages.some((stage) => fails(stage, this.#model.image))) return 'model-fails'
    return stages.some((stage) => fails(stage, image, excuses)) ? 'told' : 'missed'
  }

  /** How a program that ends as the model answer does differs from it after one of the calls of a case with several. */
  callDifferenceOf(image: Image): Found | null {
    for (const stage of this.trial.stages) {
      const { id, title, of } = stage.instance
      const states = (program: Image): readonly (Behaviour | null)[] => {
        const { run } = this.trial.tried(stage, program)
        const recorded = record(run.request)
        return callsOfCase(of).map((_, i) => {
          const at = runAfterCall({ ...run, recording: () => recorded }, i + 1)
          return at === null ? null : behaviourOf(this.#exercise, at, of.id)
        })
      }
      if (of.calls.length === 0) continue
      const [model, other] = [states(this.#model.image), states(image)]
      for (const [i, wanted] of model.entries()) {
        const found = other[i] ?? null
        if (wanted === null || found === null) continue
        const difference = differenceBetween(wanted, found, [this.#model.image, image])
        if (difference === null) continue
        const where = { caseId: of.id, title: `${title} (${id})`, isDrawnAnew: false }
        return { difference, ...where, stage }
      }
    }
    return null
  }

  /** Whether the model answer does the same on two cases. */
  isSameOn(one: Stage, other: Stage): boolean {
    return differenceBetween(this.#modelOn(one).behaviour, this.#modelOn(other).behaviour, [this.#model.image]) === null
  }

  /** The first thing in which a mutant differs from the model answer, with these and with other drawn values. */
  #differenceOf(image: Image, seen: ReadonlyMap<Stage, Behaviour>, isMoved: boolean): Found | null {
    const programs = [this.#model.image, image]
    for (let i = 0; i <= roundsAnew; i++) {
      for (const drawn of this.trial.stages) {
        if (!this.#isWorthRunning(drawn, i)) continue
        const stage = i === 0 ? drawn : this.#stageAgain(drawn, i)
        const model = this.#modelOn(stage)
        const other = (i === 0 ? seen.get(stage) : undefined) ?? this.#behaviourOn(stage, image, model.tStates)
        const difference = this.#between(stage, model.behaviour, other, programs, isMoved)
        if (difference === null) continue
        const { id, title } = stage.instance
        const caseId = stage.instance.of.id
        return { difference, caseId, title: `${title} (${id})`, isDrawnAnew: i > 0, stage }
      }
    }
    return null
  }

  /**
   * Whether a case is worth running with the values drawn the `i`-th time. What is drawn besides is what RAM and
   * registers hold that nothing has set: for that, one long case is enough.
   */
  #isWorthRunning(stage: Stage, i: number): boolean {
    if (i === 0 || this.#isThorough || !isLong(stage)) return true
    return i === 1 && (stage.instance.of.draws.length > 0 || stage === this.trial.stages.find(isLong))
  }

  #stageAgain(stage: Stage, round: number): Stage {
    const drawn = this.#again.get(round) ?? new Map<Stage, Stage>()
    this.#again.set(round, drawn)
    const known = drawn.get(stage) ?? this.trial.stageAgain(stage, round)
    drawn.set(stage, known)
    return known
  }

  #modelOn(stage: Stage): { readonly behaviour: Behaviour; readonly tStates: TState } {
    const known = this.#known.get(stage)
    if (known !== undefined) return known
    const { run } = this.trial.tried(stage, this.#model.image, { watches: 'nothing' })
    const { tStates } = run.result
    const made = { behaviour: behaviourOf(this.#exercise, run, stage.instance.of.id), tStates }
    this.#known.set(stage, made)
    return made
  }

  #behaviourOn(stage: Stage, image: Image, usual: TState): Behaviour {
    const soon = { limit: 2 * limitOf(usual), watches: 'nothing' } as const
    let tried = this.trial.tried(stage, image, soon)
    if (tried.left === 'cut') {
      // One that comes to its end a good deal later has come to it.
      const isLate = this.trial.wouldEnd(stage)
      tried = this.trial.tried(stage, image, isLate ? { watches: 'nothing' } : soon)
    }
    const { run } = tried
    return behaviourOf(this.#exercise, run, stage.instance.of.id)
  }
}

/** T-states that a mutant's run has at first, by those of the model answer. */
function limitOf(usual: TState): TState {
  return 3 * usual + 10_000
}

function isLong(stage: Stage): boolean {
  return usualTime(stage) > longCase
}
