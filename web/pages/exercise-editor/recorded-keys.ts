import { writeSession, readSession } from '../../../core/exports/index.ts'
import type { BoardProfile } from '../../../core/board/index.ts'
import type { KeyRow, MoveRow } from '../../state/DraftInputs.svelte.ts'

/** What was done on the drawn board while the model answer ran. */
export interface Recorded {
  readonly keys: readonly KeyRow[]
  /** As they stood when it began. */
  readonly switches: number
  /** How they stood later. */
  readonly moves: readonly MoveRow[]
}

/** A program as the bench opens it: with its memory, switches and timer, at its first instruction, at 0 T. */
export function sessionToRecord(
  board: BoardProfile,
  text: string,
  given: {
    readonly memory: readonly { readonly at: string; readonly bytes: string }[]
    readonly switches: number
    readonly isTimerOn: boolean
  },
): string {
  const memory = given.memory.map(({ at, bytes }) => ({
    at: Number.parseInt(at, 16),
    bytes: bytes.split(' ').map((byte) => Number.parseInt(byte, 16)),
  }))
  const { switches, isTimerOn } = given
  return writeSession({
    ...{ title: 'Model answer', board: board.id, program: { format: 'assembly', text } },
    start: {
      ...{ entry: null, ends: 'halt', registers: {}, memory, keys: [], switches, fill: { byte: 0 }, isTimerOn },
      budget: 1_000_000_000,
    },
    ...{ exercise: null, tape: null, notes: [], position: { step: 0, from: 0, to: 1 } },
  })
}

/** The presses and moves in a session's file, their times in whole milliseconds; a key that is still down is let go at its end. */
export function recordedIn(session: string, clockHz: number): Recorded {
  const reading = readSession(session)
  const tape = 'problems' in reading ? null : reading.session.tape
  if (tape === null) return { keys: [], switches: 0, moves: [] }
  const ms = (tStates: number): number => Math.round((tStates * 1000) / clockHz)
  const down = new Map<string, number>()
  const presses: { readonly key: string; readonly from: number; readonly to: number }[] = []
  let switches = 0
  const moves: MoveRow[] = []
  for (const { t, input } of tape.inputs) {
    if (input.kind === 'switches') {
      if (t === 0) switches = input.value
      else moves.push({ at: `${ms(t)} ms`, to: input.value })
    }
    if (input.kind !== 'key') continue
    const from = down.get(input.key)
    if (input.isDown && from === undefined) down.set(input.key, t)
    if (!input.isDown && from !== undefined) {
      presses.push({ key: input.key, from, to: t })
      down.delete(input.key)
    }
  }
  for (const [key, from] of down) presses.push({ key, from, to: tape.until })
  presses.sort((a, b) => a.from - b.from)
  const keys = presses.map(({ key, from, to }) => ({
    ...{ key, at: `${ms(from)} ms`, bounce: '' },
    for: `${Math.max(1, ms(to) - ms(from))} ms`,
  }))
  return { keys, switches, moves }
}
