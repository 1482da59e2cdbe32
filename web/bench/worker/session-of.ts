import { type SessionStart, writeSession } from '../../../core/exports/index.ts'
import type { Tape } from '../../../core/run/index.ts'
import type { SessionProgram } from './protocol.ts'

/** What was done on the bench until now, as the text of a file. */
export function sessionText(
  tape: Tape,
  { title, program }: { readonly title: string; readonly program: SessionProgram | null },
): string {
  const inputs = tape.inputs.filter(({ t }) => t <= tape.t)
  return writeSession({
    title,
    board: tape.machine.profile.id,
    program: program ?? { format: 'assembly', text: '' },
    start: null,
    exercise: null,
    tape: { fill: { byte: 0 }, inputs, until: tape.t },
    notes: [],
    position: { step: tape.step, from: 0, to: Math.max(1, tape.t) },
  })
}

/** What a case gives beside its program: memory, registers, switches, timer. Keys are for whoever sits at the bench. */
export function putStart(tape: Tape, start: SessionStart): void {
  for (const { at, bytes } of start.memory) tape.put({ kind: 'bytes', at, bytes })
  tape.put({ kind: 'registers', set: { ...start.registers, ...(start.entry === null ? {} : { pc: start.entry }) } })
  tape.put({ kind: 'switches', value: start.switches })
  tape.put({ kind: 'timer', isOn: start.isTimerOn })
}
