import type { MessagePort } from 'node:worker_threads'
import type { ProgramFormat } from '../contract/index.ts'

/** What goes to a grader thread: plain data, and a port on which it tells how far it is. */
export interface GradeTask {
  readonly program: { readonly format: ProgramFormat; readonly text: string }
  readonly document: unknown
  readonly seed: number
  readonly boardId: string
  readonly port: MessagePort | null
}

/** What comes back over the port while a task runs. */
export type GraderMessage =
  | { readonly kind: 'progress'; readonly progress: GradeProgress }
  /** The engine threw. The thread stays as it is until it is stopped: its state is not to be trusted any more. */
  | { readonly kind: 'fault'; readonly message: string; readonly stack: string }

export interface GradeProgress {
  readonly casesDone: number
  readonly cases: number
}
