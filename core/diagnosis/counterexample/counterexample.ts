import type { Program } from '../../assembler/index.ts'
import type { BoardProfile } from '../../board/index.ts'
import type { Exercise, ExerciseCase } from '../../exercise/index.ts'
import { gradeProgram, type CheckResult } from '../../grading/index.ts'
import { imageSize } from '../../image/index.ts'
import { Random } from '../../run/index.ts'
import { Trial, type Stage } from '../../trial/index.ts'
import { allInputs, domainSize, exerciseWithInputs, inputTexts, slotsOf, type Slot } from './inputs.ts'
import { shrink } from './shrink.ts'

export interface CounterexampleOptions {
  /** Decides what is drawn; 0 unless given. */
  readonly seed?: number
  /** Most lists of values drawn for each case before it is taken to be right; 1,000 unless given. */
  readonly most?: number
  /** Called before each run; `false` ends the search. */
  readonly onProgress?: (progress: { readonly tried: number }) => boolean | void
}

/** The smallest input found on which a program does something wrong. */
export interface Counterexample {
  readonly caseId: string
  readonly title: string
  readonly isVisible: boolean
  readonly seed: number
  /** `4600h: 7F 80`, `A = 05h`: the drawn values in the order of the draws, bytes that stand together as one text. */
  readonly inputs: readonly string[]
  /** The case with these values in place of draws: an exercise with it alone runs the same again. */
  readonly replay: ExerciseCase
  /** Every input was tried in order of size: there is no smaller one. */
  readonly isSmallest: boolean
  /** The check that fails on it; `measured` is what the program did, `wanted` what it should have. */
  readonly check: Pick<CheckResult, 'id' | 'title' | 'kind' | 'isVisible' | 'measured' | 'wanted' | 'message'>
}

/** Domains up to this size are tried from the smallest input on, one by one. */
const smallDomain = 1_024

/**
 * The smallest failing input: over the cases that draw values, inputs are drawn until one fails a check that the case
 * decides, then made smaller for as long as it still fails. A domain of one byte is searched through from the smallest
 * input on. Null where no drawn input fails, or the exercise draws none.
 */
export function counterexample(
  program: Program,
  exercise: Exercise,
  profile: BoardProfile,
  options: CounterexampleOptions = {},
): Counterexample | null {
  const { seed = 0 } = options
  const asked = withoutGates(exercise)
  const drawn = asked.cases.filter(({ draws }) => draws.length > 0)
  if (!program.isOk || imageSize(program.image) === 0 || drawn.length === 0) return null
  const trial = new Trial(
    { ...asked, cases: drawn.map((each) => ({ ...each, times: 1, boundaries: false })) },
    profile,
    program,
    seed,
  )
  const search = new Search(trial, asked, program, options)
  for (const of of drawn) {
    const stage = trial.stages.find(({ instance }) => instance.of.id === of.id)
    const found = stage === undefined ? null : search.on(stage, of)
    if (found === null) continue
    const slots = slotsOf(of)
    const { exercise: fixed, instance } = exerciseWithInputs(asked, of, slots, found.values)
    const { checks } = gradeProgram(program, fixed, profile, { seed, isNearnessJudged: false })
    const failed = checks.find(({ outcome }) => outcome !== 'passed' && outcome !== 'not-reached')
    if (failed === undefined) continue
    const { id, title, kind, isVisible, measured, wanted, message } = failed
    return {
      caseId: of.id,
      title: instance.title,
      isVisible: instance.isVisible,
      seed,
      inputs: inputTexts(slots, found.values),
      replay: instance.of,
      isSmallest: found.isSmallest,
      check: { id, title, kind, isVisible, measured, wanted, message },
    }
  }
  return null
}

/** Kinds that look at the program and not at what it does: no input makes a difference. */
const kindsOfForm = ['size', 'program-bytes', 'required-instruction', 'forbidden-instruction']

/** The exercise with the checks alone that an input may decide, each for itself. */
function withoutGates(exercise: Exercise): Exercise {
  return {
    ...exercise,
    groups: exercise.groups.map((group) => ({ ...group, restsOn: [] })),
    checks: exercise.checks
      .filter(({ kind }) => !kindsOfForm.includes(kind))
      .map((check) => ({ ...check, gate: false, restsOn: [], credit: 'whole' })),
  }
}

interface FoundInput {
  readonly values: readonly number[]
  readonly isSmallest: boolean
}

class Search {
  readonly #trial: Trial
  readonly #exercise: Exercise
  readonly #program: Program
  readonly #options: CounterexampleOptions
  #tried = 0
  #isStopped = false

  constructor(trial: Trial, exercise: Exercise, program: Program, options: CounterexampleOptions) {
    this.#trial = trial
    this.#exercise = exercise
    this.#program = program
    this.#options = options
  }

  on(stage: Stage, of: ExerciseCase): FoundInput | null {
    const slots = slotsOf(of)
    const fails = (values: readonly number[]): boolean => this.#fails(stage, of, slots, values)
    if (domainSize(slots) <= smallDomain) {
      const values = allInputs(slots).find(fails)
      return values === undefined ? null : { values, isSmallest: true }
    }
    const values = this.#firstFailing(slots, fails)
    const lows = slots.map(({ from }) => from)
    return values === null ? null : { values: shrink({ values, lows }, fails), isSmallest: false }
  }

  /** The lowest and the highest values first: they fail more often than others, and the lowest need no shrinking. */
  #firstFailing(slots: readonly Slot[], fails: (values: readonly number[]) => boolean): readonly number[] | null {
    const random = new Random(this.#options.seed ?? 0)
    const most = this.#options.most ?? 1_000
    for (let i = 0; i < most && !this.#isStopped; i++) {
      const values = slots.map(({ from, to }) => (i === 0 ? from : i === 1 ? to : from + random.under(to - from + 1)))
      if (fails(values)) return values
    }
    return null
  }

  #fails(like: Stage, of: ExerciseCase, slots: readonly Slot[], values: readonly number[]): boolean {
    this.#isStopped ||= this.#options.onProgress?.({ tried: this.#tried }) === false
    if (this.#isStopped) return false
    this.#tried += 1
    const { exercise, instance } = exerciseWithInputs(this.#exercise, of, slots, values)
    const stage = this.#trial.stageLike(like, exercise, instance)
    const run = this.#trial.run(stage, this.#program.image)
    return !stage.checks.every((check) => this.#trial.isPassed(check, run))
  }
}
