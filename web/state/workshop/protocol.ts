import type { BoardProfile } from '../../../core/board/index.ts'
import type { Diagnosis, Draft, ExerciseDraft, ProbeProgress, ProbeResult } from '../../../core/diagnosis/index.ts'
import type { DocumentProblem, Exercise, ProgramText } from '../../../core/exercise/index.ts'
import type { Report } from '../../../core/grading/index.ts'

/** What an author has tried out: a program graded, or the checks of an exercise probed. */
export type WorkshopTask =
  | {
      readonly kind: 'grade'
      readonly exercise: Exercise
      readonly board: BoardProfile
      readonly program: ProgramText
      /** The author's own answer knows the exercise's constants by name. */
      readonly isStaffAnswer: boolean
    }
  | { readonly kind: 'probe'; readonly exercise: Exercise; readonly board: BoardProfile }
  /** What in an exercise is no mistake and hardly meant. */
  | { readonly kind: 'warnings'; readonly exercise: Exercise; readonly board: BoardProfile }
  /** An exercise made from a task and a model answer. */
  | { readonly kind: 'draft'; readonly draft: ExerciseDraft; readonly board: BoardProfile }

/** How far a task is; a probe also tells what it found so far. */
export type WorkshopProgress = Pick<ProbeProgress, 'done' | 'total'> & Partial<ProbeProgress>

export type WorkshopResult =
  /** The report comes before its diagnosis, which is looked for then. */
  | { readonly kind: 'grade'; readonly report: Report; readonly diagnosis: Diagnosis | null }
  /** Null where the exercise has no model answer that gets full marks. */
  | { readonly kind: 'probe'; readonly result: ProbeResult | null }
  | { readonly kind: 'warnings'; readonly warnings: readonly DocumentProblem[] }
  | { readonly kind: 'draft'; readonly draft: Draft }

export type WorkshopReply =
  | { readonly kind: 'progress'; readonly progress: WorkshopProgress }
  /** A part of the result, while the rest is worked on. */
  | { readonly kind: 'so-far'; readonly result: WorkshopResult }
  | { readonly kind: 'done'; readonly result: WorkshopResult }
  | { readonly kind: 'fault'; readonly message: string }
