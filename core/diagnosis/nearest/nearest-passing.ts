import type { Program } from '../../assembler/index.ts'
import type { BoardProfile } from '../../board/index.ts'
import { exerciseFor, modelProgram, readOptionsFor, type Exercise, type StartNumber } from '../../exercise/index.ts'
import { gradeProgram } from '../../grading/index.ts'
import { imageSize, type Image } from '../../image/index.ts'
import { late, soon, Trial, TrialSearch } from '../../trial/index.ts'
import { candidateCount, candidates, type Candidate } from './candidates.ts'
import type { Repair } from './repair.ts'

export interface NearestOptions {
  /** The seed of the hand-in's grade; 0 unless given. */
  readonly seed?: number
  /** For a case the start on which the hand-in failed; the one that it is graded with first unless given. */
  readonly startIn?: (caseId: string) => StartNumber | undefined
  /** Longest program that is searched, in bytes; 64 unless given. */
  readonly maxBytes?: number
  /** Most edits tried; all unless given. */
  readonly most?: number
  /** Called now and then, `total` being about right; `false` stops the search. */
  readonly onProgress?: (progress: { readonly tried: number; readonly total: number }) => boolean | void
}

export type NearestPassing =
  | { readonly outcome: 'found'; readonly repair: Repair; readonly tried: number }
  /** No edit of one byte or one instruction mends it. */
  | { readonly outcome: 'none'; readonly tried: number }
  /** `onProgress` or `most` has ended the search. */
  | { readonly outcome: 'stopped'; readonly tried: number }
  | { readonly outcome: 'passes' | 'too-long' | 'unreadable'; readonly tried: 0 }

/** Edits tried between two calls of `onProgress`. */
const progressEvery = 64
/** Edits whose run had not ended when it was stopped, that are given a second and longer run when all else has failed. */
const mostLate = 2_000

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
  const { seed = 0, maxBytes = 64, most = Infinity } = options
  if (!program.isOk || imageSize(program.image) === 0) return { outcome: 'unreadable', tried: 0 }
  if (imageSize(program.image) > maxBytes) return { outcome: 'too-long', tried: 0 }
  const search = new TrialSearch(new Trial(exercise, profile, program, seed, options.startIn))
  const failing = search.failing(program.image)
  const isGood = (image: Image): boolean => {
    const made = { ...search.trial.programOf(image), symbols: program.symbols }
    return gradeProgram(made, exercise, profile, { seed, isNearnessJudged: false }).isFullMarks
  }
  const [first] = failing
  if (first === undefined && isGood(program.image)) return { outcome: 'passes', tried: 0 }
  search.putFirst(failing)
  const executed = first === undefined ? [] : search.trial.executed(first, program.image, late(first))

  const total = candidateCount(program.image)
  const answer = modelProgram(exerciseFor(exercise, seed), profile)
  const later: Candidate[] = []
  let tried = 0
  for (const candidate of candidates(program, executed, readOptionsFor(exercise, profile), answer)) {
    if (tried >= most) return { outcome: 'stopped', tried }
    if (tried % progressEvery === 0 && options.onProgress?.({ tried, total }) === false) {
      return { outcome: 'stopped', tried }
    }
    tried += 1
    const verdict = search.verdictOn(candidate.image, soon)
    if (verdict === 'late' && later.length < mostLate) later.push(candidate)
    if (verdict === 'passes' && isGood(candidate.image)) return { outcome: 'found', repair: candidate.repair(), tried }
  }
  for (const [i, candidate] of later.entries()) {
    if (i % progressEvery === 0 && options.onProgress?.({ tried, total: tried + later.length - i }) === false) {
      return { outcome: 'stopped', tried }
    }
    const isPassing = search.verdictOn(candidate.image, late) === 'passes'
    if (isPassing && isGood(candidate.image)) return { outcome: 'found', repair: candidate.repair(), tried }
  }
  return { outcome: 'none', tried }
}
