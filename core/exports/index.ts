export { vcdOf, type VcdOptions } from './vcd.ts'
export type { CpuLane } from './signal.ts'
export { wavOf, type WavOptions } from './wav.ts'
export { csv, type Cell } from './csv.ts'
export { listingCsv, stepTableCsv, type StepTableOptions } from './tables.ts'
export {
  sessionFormat,
  sessionReadOptions,
  type Session,
  type SessionExercise,
  type SessionNote,
  type SessionProgram,
  type SessionStart,
} from './session.ts'
export { readSession, sessionRequest, sessionStart, writeSession, type SessionReading } from './session-file.ts'
export { sessionJsonSchema } from './session-schema.ts'
