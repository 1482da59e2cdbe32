import { callsRoutine } from './calls-routine.ts'
import type { CheckKind } from './check.ts'
import { digitBuffer } from './digit-buffer.ts'
import { digitsSeen } from './digits-seen.ts'
import { flags } from './flags.ts'
import { forbiddenInstruction } from './forbidden-instruction.ts'
import { forbiddenRoutine } from './forbidden-routine.ts'
import { memory } from './memory.ts'
import { programBytes } from './program-bytes.ts'
import { registersKept } from './registers-kept.ts'
import { registers } from './registers.ts'
import { requiredInstruction } from './required-instruction.ts'
import { runEnd } from './run-end.ts'
import { size } from './size.ts'
import { speaker } from './speaker.ts'
import { stackBalance } from './stack-balance.ts'
import { tStates } from './t-states.ts'
import { writesOwnCode } from './writes-own-code.ts'

/** Every kind of check, in the order of the reference page. A new kind is a file of its own and a line here. */
export const checkKinds: readonly CheckKind[] = [
  ...[registers, flags, memory, digitBuffer, digitsSeen, speaker, tStates, size, runEnd, stackBalance, registersKept],
  ...[requiredInstruction, forbiddenInstruction, callsRoutine, forbiddenRoutine, programBytes, writesOwnCode],
]

/** The kind with a name; undefined for anything else. */
export function kindNamed(name: unknown): CheckKind | undefined {
  return checkKinds.find((kind) => kind.name === name)
}

export { endText } from './end-text.ts'
export { withCaseValues, type CheckKind, type PreparedCheck, type Verdict } from './check.ts'
