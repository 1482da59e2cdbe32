import type { Program } from '../../../core/assembler/index.ts'
import type { BoardProfile, SpeakerMeasure } from '../../../core/board/index.ts'
import type { Recording, RunRequest } from '../../../core/run/index.ts'
import type { CodeLine } from '../model/moment.ts'
import type { Span } from '../model/span.ts'
import type { TraceFailure, TraceSubject } from './protocol.ts'

/** A hand-in that can be run: read, and its case found. */
export interface Prepared {
  readonly program: Program
  readonly board: BoardProfile
  readonly request: RunRequest
}

/** All that the desk wants of core, so that a test can sit a small machine at it. */
export interface TraceEngine {
  prepare(subject: TraceSubject): Prepared | TraceFailure
  record(request: RunRequest): Recording
  /** Visits each instruction from step `from` to `to` (excluded) with its T-state, PC and SP. */
  walk(
    recording: Recording,
    from: number,
    to: number,
    visit: (step: number, t: number, pc: number, sp: number) => void,
  ): void
  measureSpeaker(recording: Recording, board: BoardProfile, span: Span): SpeakerMeasure
  /** Some lines before and after `pc`, decoded from memory. */
  codeAround(memory: Uint8Array, pc: number, nameAt: (address: number) => string | null): readonly CodeLine[]
}

export function isFailure(prepared: Prepared | TraceFailure): prepared is TraceFailure {
  return 'kind' in prepared
}
