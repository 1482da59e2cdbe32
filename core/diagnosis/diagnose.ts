import type { Program } from '../assembler/index.ts'
import { withinWork, workDone, type BoardProfile } from '../board/index.ts'
import { caseInstances, exerciseFor, floodOf, modelRun, type Exercise } from '../exercise/index.ts'
import { failingCases, startIn, type Report } from '../grading/index.ts'
import { imageSize } from '../image/index.ts'
import { workOfRun } from '../run/index.ts'
import type { Cause } from './causes/cause.ts'
import { findCauses } from './causes/find-causes.ts'
import { Scene } from './causes/scene.ts'
import { counterexample, type Counterexample } from './counterexample/counterexample.ts'
import { nearestPassing } from './nearest/nearest-passing.ts'
import type { Repair } from './nearest/repair.ts'

/** The edit without the program that it gives, which is no plain JSON. */
export type DiagnosedRepair = Omit<Repair, 'image' | 'tier'>

/** What is known about why a hand-in fails. Plain JSON; nothing in it for one that passes or cannot be read. */
export interface Diagnosis {
  /** Likeliest first. */
  readonly causes: readonly Cause[]
  /** The smallest edit that makes everything right. It gives the answer away. */
  readonly repair: DiagnosedRepair | null
  /** The smallest drawn input on which it fails. */
  readonly counterexample: Counterexample | null
}

export interface DiagnoseOptions {
  /** The seed of the report; its own unless given. */
  readonly seed?: number
  /** Called now and then with how far it has come, 0 to 1; `false` ends it with what was found so far. */
  readonly onProgress?: (part: number) => boolean | void
}

/** Counts, not times, bound the searches, so that the same hand-in always gets the same diagnosis. In units of `countWork`. A
 * byte left out is looked for last and only where bytes were keyed. */
const workForRepair = { assembly: 30_000_000, hex: 60_000_000, 'intel-hex': 60_000_000 } as const
/** Where a cause was found whose edit makes everything right. */
const workForOtherRepair = 6_000_000
/** What an edit of drawn values costs beside its run, in T-states' worth. */
const workForEdit = 30_000
/** Bytes of a program in which an edit that mends it is looked for. */
const longest = 512
const workForCounterexample = 100_000_000
/** In units of `countWork`: what no search goes beyond, whatever the program does. */
const workForAnything = 100_000_000
/** So many times what the model answer takes on all cases is added to that: each edit is tried on them. */
const modelRuns = 12
/** Where a run was stopped for its many events the cause is plain, and every edit would make as many. */
const workForFlood = 25_000_000
/** What is left after the causes for repair and counterexample. */
const workForRest = 20_000_000

/**
 * Why a hand-in fails: the causes, the edit that would mend it, the smallest input that shows it wrong. A pure function: the
 * same arguments give the same JSON in Node and in a browser.
 */
export function diagnose(
  program: Program,
  written: Exercise,
  profile: BoardProfile,
  report: Report,
  options: DiagnoseOptions = {},
): Diagnosis {
  const nothing: Diagnosis = { causes: [], repair: null, counterexample: null }
  if (report.status !== 'graded' || report.isFullMarks || !program.isOk || imageSize(program.image) === 0)
    return nothing
  const seed = options.seed ?? report.seed
  const exercise = exerciseFor(written, seed)
  let told = 0
  const tell = (part: number): boolean => {
    // A search may find that more is left to do than it thought.
    told = Math.max(told, part)
    return options.onProgress?.(told) !== false
  }
  if (!tell(0)) return nothing

  // A program that makes many events, or writes all over memory, takes longer than its T-states tell.
  const isFlood = report.cases.some(({ end }) => floodOf(end) !== null)
  const most = isFlood ? workForFlood : workForAnything + modelRuns * workOfModel(exercise, profile, seed)
  const start = workDone()
  const left = (): number => Math.max(0, most + workForRest - (workDone() - start))
  const editsFor = (work: number, usual: number): number => Math.floor(work / (usual + workForEdit))
  const scene: Scene = new Scene(program, exercise, profile, report, seed, () => {
    const nearest = nearestPassing(program, exercise, profile, {
      seed,
      startIn: (caseId) => startIn(report, caseId),
      failing: failingCases(report, exercise, profile),
      maxBytes: longest,
      work: scene.mending.isSettled ? workForOtherRepair : workForRepair[program.format],
      onProgress: () => tell(told),
    })
    return nearest.outcome === 'found' ? nearest.repair : null
  })
  const causes = findCauses(scene, {
    onProgress: ({ done, total }) => tell((0.8 * done) / total),
    work: most,
  })
  if (!tell(0.8)) return { ...nothing, causes }
  const found = withinWork(left(), () => scene.repair)?.value ?? null
  const repair = found === null ? null : withoutImage(found)
  const smallest = withinWork(left(), () =>
    counterexample(program, exercise, profile, {
      seed,
      most: Math.max(16, Math.min(1_000, editsFor(workForCounterexample, scene.mending.usualTime))),
      onProgress: () => tell(0.8),
    }),
  )
  tell(1)
  return { causes, repair, counterexample: smallest?.value ?? null }
}

/** What the model answer takes on all cases; 0 where there is none. */
function workOfModel(exercise: Exercise, profile: BoardProfile, seed: number): number {
  const results = caseInstances(exercise).map(({ id }) => modelRun(exercise, profile, id, seed))
  return results.reduce((sum, result) => sum + (result === null ? 0 : workOfRun(result)), 0)
}

function withoutImage({ kind, at, line, found, wouldBe, instruction }: Repair): DiagnosedRepair {
  return { kind, at, line, found, wouldBe, instruction }
}
