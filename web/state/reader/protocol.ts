import type { Program, ProgramFormat, ReadOptions } from '../../../core/assembler/index.ts'

/** What the page asks the worker, and what comes back under the same number. */
export interface ReadRequest {
  readonly number: number
  readonly format: ProgramFormat
  readonly text: string
  readonly options: ReadOptions
}

export interface ReadReply {
  readonly number: number
  readonly program: Program
}
