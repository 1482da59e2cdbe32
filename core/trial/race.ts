import { floodOf, type CaseRun } from '../exercise/index.ts'
import type { Addr, TState } from '../cpu/index.ts'
import type { Image } from '../image/index.ts'
import { usualTime, type Stage, type StagedCheck } from './stage.ts'
import type { Trial } from './trial.ts'

/** Runs shorter than this, in T-states, are as quick as a look at their beginning. */
const shortest = 400_000
/** The first window tried, in T-states: a few sweeps of a display; each later one is twice as long. */
const firstWindow = 12_500
/** A window longer than this part of the usual run saves nothing. */
const longestPart = 0.4
/** Edits ahead in the window are looked at again after so many times as long: most have only changed what comes next. */
const laterLooks = [4, 16]
/** A window that tells them apart is tried a little shorter, too. */
const shorter = 0.7
/** Least by which the model answer is ahead of the failing program in a check, as a share of it. */
const leastLead = 0.01
/** Shares are quotients. */
const noise = 1e-9

/**
 * The beginning of a long run in which a right program and the failing one can be told apart: the shortest window at whose end
 * the model answer has more of the case's checks right, or parts of them, than the program. An edit that is not well ahead of
 * the program there is worth its whole run only when all others have been tried: a right answer may do other things first.
 */
export class Race {
  readonly stage: Stage
  /** The shortest window, in T-states. */
  readonly window: TState
  readonly #trial: Trial
  readonly #leads: readonly Lead[]
  readonly #executed: ReadonlySet<Addr>

  private constructor(trial: Trial, stage: Stage, program: Image, first: Lead, later: readonly Lead[]) {
    this.stage = stage
    this.#trial = trial
    this.#leads = [first, ...later]
    this.#executed = new Set(trial.executed(stage, program, first.window))
    this.window = first.window
  }

  /** In the case that tells them apart soonest; null where runs are short or none does in time. `model` starts where the program does. */
  static of(trial: Trial, stages: readonly Stage[], program: Image, model: Image): Race | null {
    const long = stages.filter((stage) => usualTime(stage) >= shortest && stage.model !== null)
    for (let window = firstWindow; ; window *= 2) {
      const open = long.filter((stage) => window <= longestPart * usualTime(stage))
      if (open.length === 0) return null
      for (const stage of open) {
        for (const checks of soonDecided(stage)) {
          const lead = leadAt(trial, stage, program, model, window, checks)
          if (lead === null) continue
          const at = (when: TState): Lead | null => leadAt(trial, stage, program, model, when, checks)
          const later = laterLooks
            .map((times) => times * window)
            .filter((when) => when <= longestPart * usualTime(stage))
          const first = at(Math.round(shorter * window)) ?? lead
          return new Race(
            trial,
            stage,
            program,
            first,
            later.map(at).filter((each) => each !== null),
          )
        }
      }
    }
  }

  /** Whether an edit at this address (of a gap: the one behind it) can have changed anything by the end of the window. */
  isReached(at: Addr): boolean {
    return [at, at - 1].some((each) => this.#executed.has(each))
  }

  /** Whether an edited program is ahead of the failing one at the end of each window, and behind it in nothing. */
  isAhead(image: Image): boolean {
    return this.#leads.every(({ window, checks, bars }) => {
      const shares = sharesAt(this.#trial, this.stage, image, window, checks)
      return shares !== null && bars.every((bar, i) => (shares[i] ?? 0) >= bar)
    })
  }
}

/** A window in which the model answer leads, and what an edit has to have right of each check at its end. */
interface Lead {
  readonly window: TState
  readonly checks: readonly StagedCheck[]
  readonly bars: readonly number[]
}

function leadAt(
  trial: Trial,
  stage: Stage,
  program: Image,
  model: Image,
  window: TState,
  checks: readonly StagedCheck[],
): Lead | null {
  if (checks.length === 0) return null
  const own = sharesAt(trial, stage, program, window, checks) ?? []
  const wanted = sharesAt(trial, stage, model, window, checks) ?? []
  const leads = wanted.map((share, i) => share - (own[i] ?? 0))
  if (!leads.some((lead) => lead >= leastLead)) return null
  // Another right answer may come to the next sign a little later.
  const bars = wanted.map((share, i) => share - Math.max(0, (leads[i] ?? 0) / 3) - noise)
  return { window, checks, bars }
}

/** Checks that look at what happens and not at what is left at the end; those that take a recorded run by themselves. */
function soonDecided({ checks }: Stage): readonly (readonly StagedCheck[])[] {
  const soon = checks.filter(({ prepared, needsEnd, cost }) => prepared.needsRun && !needsEnd && cost !== 2)
  return [soon.filter(({ needsRecording }) => !needsRecording), soon.filter(({ needsRecording }) => needsRecording)]
}

/**
 * The share of each check that is right after so many T-states, at the end 1 for a run that goes on. Null for one that has come
 * to a bad end.
 */
function sharesAt(
  trial: Trial,
  stage: Stage,
  image: Image,
  window: TState,
  checks: readonly StagedCheck[],
): readonly number[] | null {
  const { run } = trial.tried(stage, image, { limit: window })
  const { kind } = run.result.end
  const isRunning = kind === 'budget-used-up'
  if (floodOf(run.result.end) !== null || (!isRunning && kind !== 'halted' && kind !== 'returned')) return null
  return [...checks.map((check) => shareRight(check, trial.seenBy(check, run))), isRunning ? 1 : 0]
}

function shareRight({ prepared }: StagedCheck, run: CaseRun): number {
  const verdict = prepared.evaluate(run)
  if (verdict.outcome === 'passed') return 1
  const parts = verdict.parts?.()
  return parts === undefined || parts.of === 0 ? 0 : Math.min(1, (parts.right + (parts.outOfPlace ?? 0) / 2) / parts.of)
}
