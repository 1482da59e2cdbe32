export type { Outputs, Recording, SearchTarget, Snapshot, TraceStep } from './recording.ts'
export type {
  AddressUsage,
  History,
  HistorySubject,
  MemoryRead,
  MemoryWrite,
  NamedRange,
  Questions,
  RangeUsage,
  RegisterName,
  StackMark,
  StepSpan,
  SweepGap,
  Usage,
  Visits,
  Writer,
} from './questions.ts'
export type { KeyPress, SwitchMove } from '../board/index.ts'
export {
  defaultEventLimit,
  eventLimitOf,
  type EventFlood,
  type Fill,
  type InputsOfRun,
  type LoopRange,
  type RunEnd,
  type RunOptions,
  type RunRequest,
  type RunResult,
  type UndefinedAtStart,
} from './request.ts'
export type { ComparisonOfUndefined, UndefinedUse } from './undefined-use.ts'
export { bitsOfParts, forEachPart } from './flow-plan.ts'
export { run } from './run.ts'
export { eventFlood } from './event-flood.ts'
export { record } from './record.ts'
export { LoopProof } from './loop-proof.ts'
export { digestOfRun } from './digest-of-run.ts'
export { Machine, workOfRun, type MachineState } from './machine.ts'
export { runToStop, type Comparison, type Stop } from './stops.ts'
export { Tape, type Input, type TapedInput } from './tape.ts'
export { memoryAtStart, registersAtStart } from './start.ts'
export { Random } from './random.ts'
