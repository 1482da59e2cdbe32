import type { ProgramFormat } from '../../../core/assembler/index.ts'
import type { BoardProfile, SpeakerMeasure } from '../../../core/board/index.ts'
import type { Comparison } from '../../../core/diagnosis/index.ts'
import type { Problem } from '../../../core/image/index.ts'
import type { SearchTarget, TraceStep } from '../../../core/run/index.ts'
import type { Lane } from '../model/lane.ts'
import type { LaneWish } from '../model/lane-wish.ts'
import type { Moment, TraceOverview } from '../model/moment.ts'
import type { Answer, TraceQuestion } from '../model/question.ts'
import type { Span } from '../model/span.ts'
import type { TakenOut, TakeOut } from './take-out.ts'

/** All that decides the run which is looked at. */
export interface TraceSubject {
  readonly text: string
  readonly format: ProgramFormat
  readonly board: BoardProfile
  /** The exercise document as the server sent it; checked by core when it is opened. */
  readonly exercise: unknown
  readonly caseId: string
  /** What the grader drew from. */
  readonly seed: number
  /** Which values stand in what nothing sets, as the report has it; core's first ones unless given. */
  readonly start?: number | undefined
  /** An answer of staff: it may name the constants of the exercise. */
  readonly isStaffAnswer?: boolean
}

/** `id` is chosen by the asker and stands in each reply, so that answers find their question. */
export type TraceRequest =
  | { readonly kind: 'open'; readonly id: number; readonly subject: TraceSubject }
  | { readonly kind: 'at'; readonly id: number; readonly step: number }
  | { readonly kind: 'step-at'; readonly id: number; readonly t: number }
  /** When these steps begin. */
  | { readonly kind: 'times-of'; readonly id: number; readonly steps: readonly number[] }
  | { readonly kind: 'steps'; readonly id: number; readonly from: number; readonly to: number }
  | {
      readonly kind: 'find'
      readonly id: number
      readonly from: number
      readonly direction: 'back' | 'on'
      readonly what: SearchTarget
    }
  /** All lanes: those made from events at once, then those that need the whole run to be walked. */
  | { readonly kind: 'lanes'; readonly id: number }
  /** One lane more: a register, a byte of memory, a port. */
  | { readonly kind: 'lane-of'; readonly id: number; readonly wish: LaneWish }
  | { readonly kind: 'ask'; readonly id: number; readonly question: TraceQuestion }
  /** The open run as the wanted one, held against another. */
  | { readonly kind: 'compare'; readonly id: number; readonly found: TraceSubject }
  /** Where the open run parts from the model answer's. */
  | { readonly kind: 'parting'; readonly id: number; readonly model: TraceSubject }
  | { readonly kind: 'take-out'; readonly id: number; readonly wish: TakeOut }
  /** How often each instruction ran. */
  | { readonly kind: 'counts'; readonly id: number }
  | { readonly kind: 'measure'; readonly id: number; readonly span: Span }
  | { readonly kind: 'sound'; readonly id: number; readonly span: Span; readonly sampleRate: number }
  /** Gives up the request `of`, which is then answered `cancelled`. */
  | { readonly kind: 'cancel'; readonly id: number; readonly of: number }

export type TraceFailure =
  | { readonly kind: 'unreadable'; readonly problems: readonly Problem[] }
  | { readonly kind: 'no-such-case'; readonly caseId: string }
  | { readonly kind: 'not-open' }
  | { readonly kind: 'fault'; readonly message: string }

/** Any number of `progress` and `lane` replies come before the one that ends a request. */
export type TraceReply =
  | {
      readonly kind: 'progress'
      readonly id: number
      readonly phase: 'reading' | 'running' | 'walking'
      readonly share: number
    }
  | { readonly kind: 'lane'; readonly id: number; readonly lane: Lane }
  | { readonly kind: 'opened'; readonly id: number; readonly overview: TraceOverview }
  | { readonly kind: 'at'; readonly id: number; readonly moment: Moment }
  | { readonly kind: 'step-at'; readonly id: number; readonly step: number }
  | { readonly kind: 'times-of'; readonly id: number; readonly times: readonly number[] }
  | { readonly kind: 'steps'; readonly id: number; readonly steps: readonly TraceStep[] }
  | { readonly kind: 'found'; readonly id: number; readonly step: number | null }
  | { readonly kind: 'lanes-done'; readonly id: number }
  | { readonly kind: 'lane-made'; readonly id: number; readonly lane: Lane }
  | { readonly kind: 'answered'; readonly id: number; readonly answer: Answer }
  | { readonly kind: 'compared'; readonly id: number; readonly comparison: Comparison }
  /** Null where nothing is different that can be noticed. */
  | { readonly kind: 'parted'; readonly id: number; readonly step: number | null }
  | { readonly kind: 'taken-out'; readonly id: number; readonly file: TakenOut }
  | { readonly kind: 'counted'; readonly id: number; readonly counts: ReadonlyMap<number, number> }
  | { readonly kind: 'measured'; readonly id: number; readonly measure: SpeakerMeasure }
  | { readonly kind: 'sound'; readonly id: number; readonly samples: Float32Array<ArrayBuffer> }
  | { readonly kind: 'failed'; readonly id: number; readonly failure: TraceFailure }
  | { readonly kind: 'cancelled'; readonly id: number }

/** Which reply ends which request when all goes well. */
export interface Endings {
  open: 'opened'
  at: 'at'
  'step-at': 'step-at'
  'times-of': 'times-of'
  steps: 'steps'
  find: 'found'
  lanes: 'lanes-done'
  'lane-of': 'lane-made'
  ask: 'answered'
  compare: 'compared'
  parting: 'parted'
  'take-out': 'taken-out'
  counts: 'counted'
  measure: 'measured'
  sound: 'sound'
}

export type ReplyOf<K extends keyof Endings> = Extract<TraceReply, { kind: Endings[K] }>
