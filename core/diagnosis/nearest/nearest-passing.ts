import type { Program } from '../../assembler/index.ts'
import { withinWork, type BoardProfile } from '../../board/index.ts'
import { candidateCount, candidates } from '../../edits/index.ts'
import { exerciseFor, modelProgram, readOptionsFor, type Exercise, type StartNumber } from '../../exercise/index.ts'
import { gradeProgram } from '../../grading/index.ts'
import { imageSize, type Image } from '../../image/index.ts'
import { Trial, TrialSearch } from '../../trial/index.ts'
import { repairOf, type Repair } from './repair.ts'

export interface NearestOptions {
  /** The seed of the hand-in's grade; 0 unless given. */
  readonly seed?: number
  /** For a case the start on which the hand-in failed; the one that it is graded with first unless given. */
  readonly startIn?: (caseId: string) => StartNumber | undefined
  /** Cases that the hand-in fails, on which edits are tried; found by running it unless given. */
  readonly failing?: readonly string[]
  /** Longest program that is searched, in bytes; 64 unless given. */
  readonly maxBytes?: number
  /** Units of work (`countWork`) that trying may take; unbounded unless given. */
  readonly work?: number
  /** Called now and then, `total` being about right; `false` stops the search. */
  readonly onProgress?: (progress: { readonly tried: number; readonly total: number }) => boolean | void
}

export type NearestPassing =
  | { readonly outcome: 'found'; readonly repair: Repair; readonly tried: number }
  /** No edit of one byte or one instruction mends it. */
  | { readonly outcome: 'none'; readonly tried: number }
  /** `onProgress` or `work` has ended the search. */
  | { readonly outcome: 'stopped'; readonly tried: number }
  | { readonly outcome: 'passes' | 'too-long' | 'unreadable'; readonly tried: 0 }

/** Edits tried between two calls of `onProgress`. */
const progressEvery = 64

/**
 * The smallest edit that makes a failing hand-in pass every check: one byte, or else one instruction. An edit is dropped
 * at its first sure failure, on the case that the hand-in failed soonest; its runs end soon after the model answer's
 * would. What is found has been graded: its report has full marks.
 */
export function nearestPassing(
  program: Program,
  exercise: Exercise,
  profile: BoardProfile,
  options: NearestOptions = {},
): NearestPassing {
  const { seed = 0, maxBytes = 64, work = Infinity, failing } = options
  if (!program.isOk || imageSize(program.image) === 0) return { outcome: 'unreadable', tried: 0 }
  if (imageSize(program.image) > maxBytes) return { outcome: 'too-long', tried: 0 }
  const trial = new Trial(exercise, profile, program, seed, options.startIn, failing)
  const search = new TrialSearch(trial, program.image, failing)
  const isGood = (image: Image): boolean => {
    const made = { ...trial.programOf(image), symbols: program.symbols }
    return gradeProgram(made, exercise, profile, { seed, isNearnessJudged: false }).isFullMarks
  }
  if (search.failing.length === 0 && isGood(program.image)) return { outcome: 'passes', tried: 0 }

  const total = candidateCount(program.image)
  const answer = modelProgram(exerciseFor(exercise, seed), profile)
  const model = answer?.entry === program.entry ? answer.image : null
  const edits = candidates(program, search.executed(), readOptionsFor(exercise, profile), answer)
  const tries = search.tries(edits, model)
  let left = work
  for (let tried = 0; ; tried++) {
    if (tried % progressEvery === 0 && options.onProgress?.({ tried, total: Math.max(total, tried) }) === false) {
      return { outcome: 'stopped', tried }
    }
    const next = withinWork(Math.max(0, left), () => tries.next())
    if (next === null) return { outcome: 'stopped', tried }
    left -= next.work
    if (next.value.done === true) return { outcome: 'none', tried }
    const { edit, isPassing } = next.value.value
    const repair = isPassing && isGood(edit.image) ? repairOf(program, edit) : null
    if (repair !== null) return { outcome: 'found', repair, tried: tried + 1 }
  }
}
