export type { Recording, SearchTarget, Snapshot, TraceStep } from './recording.ts'
export type { KeyPress, RunEnd, RunRequest, RunResult } from './request.ts'
