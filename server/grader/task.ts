import type { MessagePort } from 'node:worker_threads'
import type { FoundDiagnosis } from '../diagnoses/found-diagnosis.ts'
import type { ProgramFormat, Report } from '../contract/index.ts'

/** All that a run depends on. */
export interface GradeInputs {
  readonly program: { readonly format: ProgramFormat; readonly text: string }
  readonly document: unknown
  readonly seed: number
  readonly boardId: string
}

/** What goes to a grader thread: plain data, and a port on which it tells how far it is. */
export interface GradeTask extends GradeInputs {
  readonly kind: 'grade'
  readonly port: MessagePort | null
}

/** A search for causes, after the grade. `aside` holds one number: not 0 asks the thread to leave off. */
export interface DiagnoseTask extends GradeInputs {
  readonly kind: 'diagnose'
  readonly report: Report
  readonly aside: Int32Array<SharedArrayBuffer>
  readonly port: MessagePort | null
}

/** `stood-aside`: it was asked to leave off, and nothing was found yet. */
export type DiagnoseResult = FoundDiagnosis | 'stood-aside'

/** What comes back over the port while a task runs. */
export type GraderMessage =
  | { readonly kind: 'progress'; readonly progress: GradeProgress }
  /** The engine threw. The thread stays as it is until it is stopped: its state is not to be trusted any more. */
  | { readonly kind: 'fault'; readonly message: string; readonly stack: string }

export interface GradeProgress {
  readonly casesDone: number
  readonly cases: number
}
