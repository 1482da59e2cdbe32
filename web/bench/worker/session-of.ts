import type { Program } from '../../../core/assembler/index.ts'
import { type SessionProgram, type SessionStart, sessionRequest, writeSession } from '../../../core/exports/index.ts'
import { type Tape, memoryAtStart, registersAtStart } from '../../../core/run/index.ts'

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
    tape: { fill: tape.fill, inputs, until: tape.t },
    notes: [],
    position: { step: tape.step, from: 0, to: Math.max(1, tape.t) },
  })
}

/** What a run begins with: registers, all memory, switches, timer. Keys and moves of switches are for whoever sits at the bench. */
export function putStart(tape: Tape, start: SessionStart, program: Program): void {
  const request = sessionRequest(start, tape.machine.profile, program)
  for (const { at, bytes } of differing(tape.machine.memory, memoryAtStart(request)))
    tape.put({ kind: 'bytes', at, bytes })
  const { wz: _wz, q: _q, ...registers } = registersAtStart(request)
  tape.put({ kind: 'registers', set: registers })
  tape.put({ kind: 'switches', value: start.switches })
  tape.put({ kind: 'timer', isOn: start.isTimerOn })
}

/** The stretches of memory that hold something else, as they should be. */
function differing(
  memory: Uint8Array,
  wanted: Uint8Array,
): readonly { readonly at: number; readonly bytes: number[] }[] {
  const stretches: { at: number; bytes: number[] }[] = []
  wanted.forEach((byte, at) => {
    if (memory[at] === byte) return
    const last = stretches.at(-1)
    if (last !== undefined && last.at + last.bytes.length === at) last.bytes.push(byte)
    else stretches.push({ at, bytes: [byte] })
  })
  return stretches
}
