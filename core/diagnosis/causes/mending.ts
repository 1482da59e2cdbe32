import type { Program } from '../../assembler/index.ts'
import type { BoardProfile } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import type { Exercise } from '../../exercise/index.ts'
import { gradeProgram, startIn, type Report } from '../../grading/index.ts'
import type { Image } from '../../image/index.ts'
import { usualTime, Trial, type Stage, type StagedCheck } from '../../trial/index.ts'

/** What an edit does to the failed checks. */
export interface Mended {
  readonly checkIds: readonly string[]
  /** Every failed check is right with it. */
  readonly isFull: boolean
  /** Part of the failing pairs of case and check that it makes right, 0 to 1. */
  readonly part: number
}

/** T-states that edits may run, and how many edits at least where one run takes long. Counts, since an answer must not
 * depend on a clock. */
interface Share {
  readonly tStates: number
  readonly edits: number
}
const mostInAll: Share = { tStates: 800_000_000, edits: 5 }
/** What one detector gets: little at first, so that each has its turn; more when none has found anything sure. Slips of the
 * fingers come before them. */
const forOne = {
  slips: { tStates: 250_000_000, edits: 4 },
  first: { tStates: 8_000_000, edits: 1 },
  second: { tStates: 60_000_000, edits: 5 },
} as const satisfies Record<string, Share>
/** What is left once an edit has made everything right: there may be another that says more. */
const onceMended: Share = { tStates: 40_000_000, edits: 5 }
const mostEdits = 4_000
/** What an edit costs beside its run, in T-states' worth of time. */
const costOfEdit = 20_000
/** A recorded run beside one that is not. */
const costOfRecording = 4

/** Tries edits of a failing hand-in: which failed checks would be right, and whether any other would be wrong. */
export class Mending {
  readonly trial: Trial
  readonly #grade: (image: Image) => Report
  readonly #stages: readonly Stage[]
  /** By stage: the checks that the hand-in fails and those that it passes there. */
  readonly #failing = new Map<Stage, ReadonlySet<string>>()
  readonly #failingIds: ReadonlySet<string>
  /** How long the hand-in ran. */
  readonly #own = new Map<Stage, TState>()
  readonly #limits = new Map<Stage, TState>()
  readonly #known = new Map<string, Mended | null>()
  #spent = 0
  #limit: number
  #isSettled = false
  #grant = Infinity
  #tried = 0

  constructor(program: Program, exercise: Exercise, profile: BoardProfile, report: Report, seed: number) {
    this.trial = new Trial(exercise, profile, program, seed, (caseId) => startIn(report, caseId))
    this.#grade = (image) => {
      const { symbols } = program
      return gradeProgram({ ...this.trial.programOf(image), symbols }, exercise, profile, {
        seed,
        isNearnessJudged: false,
      })
    }
    const ids = new Set<string>()
    for (const stage of this.trial.stages) {
      const usual = usualTime(stage)
      const run = this.trial.run(stage, program.image, Math.min(stage.request.budget, 4 * usual + 20_000))
      this.#own.set(stage, run.result.tStates)
      const failed = new Set(stage.checks.filter((check) => !this.trial.isPassed(check, run)).map((check) => check.id))
      for (const id of failed) ids.add(id)
      this.#failing.set(stage, failed)
      const isEnded = run.result.end.kind === 'halted' || run.result.end.kind === 'returned'
      const own = isEnded ? 1.3 * run.result.tStates : 0
      this.#limits.set(stage, Math.min(stage.request.budget, Math.max(1.1 * usual + 2_000, own)))
    }
    this.#failingIds = ids
    const isFailing = (stage: Stage): boolean => (this.#failing.get(stage)?.size ?? 0) > 0
    this.#stages = [...this.trial.stages.filter(isFailing), ...this.trial.stages.filter((each) => !isFailing(each))]
    this.#limit = this.#worth(mostInAll)
  }

  /** Cases that fail, those with short runs first. */
  get failingCases(): readonly string[] {
    return this.#stages.filter((stage) => (this.#failing.get(stage)?.size ?? 0) > 0).map((stage) => stage.instance.id)
  }

  /** Whether a failed check is right in other cases. */
  isFailingInSome(checkId: string): boolean {
    const stages = this.#stages.filter(({ checks }) => checks.some(({ id }) => id === checkId))
    return stages.some((stage) => this.#failing.get(stage)?.has(checkId) === false)
  }

  /** T-states that a right answer takes on the failing case with the shortest run; without a model answer, the hand-in. */
  get usualTime(): TState {
    const [first] = this.#stages
    if (first === undefined) return 0
    return first.model === null ? (this.#own.get(first) ?? usualTime(first)) : usualTime(first)
  }

  /** Failed somewhere, behind a shut gate or not. */
  isFailing(checkId: string): boolean {
    return this.#failingIds.has(checkId)
  }

  get tried(): number {
    return this.#tried
  }

  /** A new share of the time, for the next detector. */
  grant(round: keyof typeof forOne): void {
    this.#grant = this.#spent + this.#worth(forOne[round])
  }

  /** An edit has made everything right: little is spent from now on. */
  settle(): void {
    this.#isSettled = true
    this.#limit = Math.min(this.#limit, this.#spent + this.#worth(onceMended))
  }

  get isSettled(): boolean {
    return this.#isSettled
  }

  get isSpent(): boolean {
    return this.#spent >= Math.min(this.#limit, this.#grant) || this.#tried >= mostEdits
  }

  #worth({ tStates, edits }: Share): number {
    return Math.max(tStates, edits * (this.usualTime + costOfEdit))
  }

  /** Null where the edit makes no failed check right, or another one wrong, or there is no time left. */
  try(image: Image): Mended | null {
    const key = image.segments.map(({ start, bytes }) => `${start}:${bytes.join()}`).join(';')
    const before = this.#known.get(key)
    if (before !== undefined) return before
    if (this.isSpent) return null
    this.#tried += 1
    const mended = this.#attempt(image)
    this.#known.set(key, mended)
    return mended
  }

  #attempt(image: Image): Mended | null {
    if (!this.trial.isAllowed(image)) return null
    const stillFailing = new Set<string>()
    let pairs = 0
    let better = 0
    for (const stage of this.#stages) {
      const failing = this.#failing.get(stage) ?? new Set()
      const run = this.trial.run(stage, image, this.#limits.get(stage))
      this.#spent += run.result.tStates + costOfEdit
      const isPassed = (check: StagedCheck): boolean => {
        if (check.needsRecording) this.#spent += costOfRecording * run.result.tStates
        return this.trial.isPassed(check, run)
      }
      const others = stage.checks.filter(({ id }) => !failing.has(id))
      if (!others.filter(({ cost }) => cost === 0).every(isPassed)) return null
      for (const check of stage.checks) {
        if (!failing.has(check.id)) continue
        pairs += 1
        if (isPassed(check)) better += 1
        else stillFailing.add(check.id)
      }
      if (failing.size > 0 && better === 0) return null
      if (!others.filter(({ cost }) => cost > 0).every(isPassed)) return null
    }
    const mended = [...this.#failingIds].filter((id) => !stillFailing.has(id))
    if (mended.length === 0) return null
    const lucky = this.#lucky(image)
    const checkIds = mended.filter((id) => !lucky.has(id))
    if (checkIds.length === 0 || [...lucky].some((id) => !this.#failingIds.has(id))) return null
    const isFull = checkIds.length === this.#failingIds.size
    return { checkIds, isFull, part: pairs === 0 ? 0 : better / pairs }
  }

  /** Checks that an edit fails where what nothing has set holds something else. */
  #lucky(image: Image): ReadonlySet<string> {
    const report = this.#grade(image)
    this.#spent += report.cases.reduce((sum, { tStates }) => sum + tStates + costOfEdit, 0)
    const isFine = ['passed', 'skipped-by-gate', 'not-reached']
    const failed = report.checks.filter(({ outcome }) => !isFine.includes(outcome))
    return new Set(failed.map(({ id }) => id))
  }
}
