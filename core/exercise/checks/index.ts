import { callsRoutine } from './calls-routine.ts'
import type { CheckKind } from './check.ts'
import { digitBuffer } from './digit-buffer.ts'
import { digitsSeen } from './digits-seen.ts'
import { drift } from './drift.ts'
import { flags } from './flags.ts'
import { forbiddenInstruction } from './forbidden-instruction.ts'
import { forbiddenRoutine } from './forbidden-routine.ts'
import { handler } from './handler.ts'
import { interrupts } from './interrupts.ts'
import { lamps } from './lamps.ts'
import { memory } from './memory.ts'
import { memoryAfterKey } from './memory-after-key.ts'
import { ports } from './ports.ts'
import { programBytes } from './program-bytes.ts'
import { registers } from './registers.ts'
import { registersKept } from './registers-kept.ts'
import { requiredInstruction } from './required-instruction.ts'
import { runEnd } from './run-end.ts'
import { runsElsewhere } from './runs-elsewhere.ts'
import { shownAfterKey } from './shown-after-key.ts'
import { signsInTurn } from './signs-in-turn.ts'
import { size } from './size.ts'
import { speaker } from './speaker.ts'
import { stackBalance } from './stack-balance.ts'
import { tStates } from './t-states.ts'
import { tonesInTurn } from './tones-in-turn.ts'
import { writesOwnCode } from './writes-own-code.ts'

/** Every kind of check, in the order of the reference page. A new kind is a file of its own and a line here. */
export const checkKinds: readonly CheckKind[] = [
  ...[registers, flags, memory, memoryAfterKey, registersKept, stackBalance],
  ...[digitBuffer, digitsSeen, signsInTurn, shownAfterKey, lamps, speaker, tonesInTurn],
  ...[tStates, drift, interrupts, handler, ports],
  ...[size, programBytes, runEnd, requiredInstruction, forbiddenInstruction, callsRoutine, forbiddenRoutine],
  ...[writesOwnCode, runsElsewhere],
]

/** The kind with a name; undefined for anything else. */
export function kindNamed(name: unknown): CheckKind | undefined {
  return checkKinds.find((kind) => kind.name === name)
}

export { endText, floodOf, floodText } from './end-text.ts'
export {
  withCaseValues,
  type CheckKind,
  type Parts,
  type PreparedCheck,
  type Verdict,
  type WantedValue,
} from './check.ts'
