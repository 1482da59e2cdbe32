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

export interface GradeProgress {
  readonly casesDone: number
  readonly cases: number
}
