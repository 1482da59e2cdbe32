import type { Program } from '../assembler/index.ts'
import type { BoardProfile, DigitSpan } from '../board/index.ts'
import type { Addr, Registers, TState } from '../cpu/index.ts'
import type { Recording, RunRequest, RunResult } from '../run/index.ts'
import type { CallSite } from './calls.ts'

/** A point of a run: the instruction at `address`; `step` is null where only the T-state is known. */
export interface Moment {
  readonly t: TState
  readonly address: Addr
  readonly step: number | null
}

/** `After call 2`, `after call 2`, `before it`: the moment at which a check looks, and what it is compared with. */
export interface MomentWords {
  readonly lead: string
  readonly end: string
  readonly start: string
}

/** The words for the end of a run, or the moment that stands for it. */
export function momentWords({ moment }: CaseRun): MomentWords {
  return moment ?? { lead: 'At the end', end: 'at the end', start: 'at the start' }
}

/** Everything a check may look at: one program after one run of one case. */
export interface CaseRun {
  readonly caseId: string
  readonly isVisible: boolean
  readonly profile: BoardProfile
  readonly program: Program
  readonly request: RunRequest
  readonly result: RunResult
  /** Memory and registers before the first instruction. Made at first use, then kept. */
  initial(): { readonly memory: Uint8Array; readonly registers: Registers }
  /** What an eye sees of the digits from the start to the end of the run. Made at first use, then kept. */
  digits(): readonly DigitSpan[]
  /** The same run, recorded, to ask when something happened. Made at first use, then kept. */
  recording(): Recording
  /** The same run once more, stopped at the first of these addresses. */
  runUntil(breakpoints: readonly Addr[]): RunResult
  /** The same case with every byte of the program, and its entry, `by` addresses further up (down where negative). */
  moved(by: number): RunResult
  /** The model answer's run of the same case; null where the exercise has no model answer. */
  model(): RunResult | null
  /** The same, recorded. Made at first use, then kept. */
  modelRecording(): Recording | null
  /** Where the driver of a case with `calls` calls the program; null in other cases. */
  readonly callSite: CallSite | null
  /** How the moment is called that stands for the end; left out where it is the end. */
  readonly moment?: MomentWords
}

/** The last instruction of a run. */
export function endOf(run: CaseRun): Moment {
  return { t: run.result.tStates, address: run.result.lastPc, step: run.result.steps }
}

/** The instruction executed in `step`, counted from 0. */
export function momentAt(recording: Recording, step: number): Moment {
  const [at] = recording.steps(step, step + 1)
  return at === undefined
    ? { t: recording.result.tStates, address: recording.result.lastPc, step: recording.result.steps }
    : { t: at.t, address: at.pc, step }
}

/** The last instruction that wrote to `address`; the end of the run where none did. */
export function lastWriteTo(run: CaseRun, address: Addr): Moment {
  const recording = run.recording()
  const step = recording.find(run.result.steps, 'back', { kind: 'memory-write', address })
  return step === null ? endOf(run) : momentAt(recording, step)
}
