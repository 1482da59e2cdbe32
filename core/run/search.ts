import { eventCode } from '../board/index.ts'
import { attribute, decode } from '../cpu/index.ts'
import type { Addr, Byte, Registers, TState } from '../cpu/index.ts'
import type { Recording, SearchTarget } from './recording.ts'
import type { Replay } from './replay.ts'

type Direction = 'back' | 'on'

/** The nearest step before or after `from`, itself left out, at which `what` holds; null when there is none. */
export function search(
  recording: Recording,
  replay: Replay,
  from: number,
  direction: Direction,
  what: SearchTarget,
): number | null {
  switch (what.kind) {
    case 'pc':
      return nearest(recording, replay, from, direction, (first, after) => stops(replay, what.address, first, after))
    case 'memory-write':
      return nearest(recording, replay, from, direction, (first, after) =>
        writes(replay, what.address, first, Math.min(after, recording.result.steps)),
      )
    case 'register-change':
      return nearest(recording, replay, from, direction, (first, after) =>
        changes(replay, what.register, first, Math.min(after, recording.result.steps)),
      )
    case 'port-write':
      return portWrite(recording, from, direction, what.port)
    case 'same-depth':
      return direction === 'on' ? overCall(recording, replay, from) : backOverCall(recording, replay, from)
  }
}

/**
 * Looks at one stretch between two checkpoints after the other. `hits` gives the steps in `[first, after)` in order; it
 * may leave out all but the first and the last.
 */
function nearest(
  { result }: Recording,
  replay: Replay,
  from: number,
  direction: Direction,
  hits: (first: number, after: number) => Iterable<number>,
): number | null {
  // The end of the run is a place to stand at, but no instruction of it is executed there.
  const bounds = [...replay.checkpointSteps, result.steps + 1]
  const stretches = bounds.slice(0, -1).map((start, k): [number, number] => [start, bounds[k + 1] ?? start])
  try {
    if (direction === 'on') {
      for (const [start, end] of stretches) {
        if (end <= from + 1) continue
        for (const step of hits(Math.max(start, from + 1), end)) return step
      }
      return null
    }
    for (const [start, end] of stretches.reverse()) {
      if (start >= from) continue
      let last: number | null = null
      for (const step of hits(start, Math.min(end, from))) last = step
      if (last !== null) return last
    }
    return null
  } finally {
    replay.disarm()
  }
}

/** Steps at which the machine stands at `address`. */
function* stops(replay: Replay, address: Addr, first: number, after: number): Iterable<number> {
  const machine = replay.seek(first)
  const { attributes } = machine.cpu
  attributes[address] = (attributes[address] ?? 0) | attribute.stopAt
  while (machine.steps < after) {
    if (machine.cpu.instructionAddress === address) {
      yield machine.steps
      machine.step()
    } else machine.advanceSteps(after - machine.steps)
  }
  replay.disarm()
}

/** First and last of the steps that write to `address`, by instruction or by the acceptance of an interrupt. */
function* writes(replay: Replay, address: Addr, first: number, after: number): Iterable<number> {
  if (after <= first) return
  const machine = replay.seek(first)
  const { attributes } = machine.cpu
  attributes[address] = (attributes[address] ?? 0) | attribute.watchWrite
  const times: TState[] = []
  machine.board.onWrite = (at, _value, t) => {
    if (at === address) times.push(t)
  }
  machine.advanceSteps(after - first)
  replay.disarm()
  for (const t of new Set([times[0], times.at(-1)])) if (t !== undefined) yield replay.seekPast(t).steps - 1
}

/** Steps whose instruction leaves another value in `register`. */
function* changes(replay: Replay, register: keyof Registers, first: number, after: number): Iterable<number> {
  const found: number[] = []
  let value: Registers[keyof Registers] | null = null
  replay.trace(first, after, ({ before }, step) => {
    if (value !== null && before[register] !== value) found.push(step - 1)
    value = before[register]
  })
  if (value !== null && replay.seek(after).registers()[register] !== value) found.push(after - 1)
  yield* found
}

function portWrite(recording: Recording, from: number, direction: Direction, port: Byte | null): number | null {
  const { events } = recording
  const isWanted = (i: number) =>
    events.codeAt(i) === eventCode.portWrite && (port === null || events.whereAt(i) === port)
  if (direction === 'on') {
    if (from >= recording.result.steps) return null
    for (let i = events.firstFrom(recording.at(from + 1).t); i < events.length; i++)
      if (isWanted(i)) return recording.stepAt(events.timeAt(i))
    return null
  }
  for (let i = events.firstFrom(recording.at(from).t) - 1; i >= 0; i--)
    if (isWanted(i)) return recording.stepAt(events.timeAt(i))
  return null
}

function overCall(recording: Recording, replay: Replay, from: number): number | null {
  if (from >= recording.result.steps) return null
  const { pc, sp } = recording.at(from).registers
  const { instruction, bytes } = decode((address) => replay.machine.memory[address] ?? 0, pc)
  if (!/^(CALL|RST)/.test(instruction.text)) return from + 1
  const back = (pc + bytes.length) & 0xffff
  return nearest(recording, replay, from, 'on', function* (first, after) {
    for (const step of stops(replay, back, first, after)) if (replay.machine.registers().sp === sp) yield step
  })
}

function backOverCall(recording: Recording, replay: Replay, from: number): number | null {
  if (from === 0) return null
  const { pc, sp } = recording.at(from).registers
  const [last] = recording.steps(from - 1, from)
  const isReturn =
    last !== undefined && last.kind === 'instruction' && isReturnBytes(last.bytes) && last.after.sp !== last.before.sp
  if (!isReturn) return from - 1
  const calls = [3, 1].map((length) =>
    nearest(recording, replay, from, 'back', function* (first, after) {
      for (const step of stops(replay, (pc - length) & 0xffff, first, after)) {
        const { instruction } = decode((address) => replay.machine.memory[address] ?? 0, (pc - length) & 0xffff)
        const isCall = instruction.encoding.length === length && /^(CALL|RST)/.test(instruction.text)
        if (isCall && replay.machine.registers().sp === sp) yield step
      }
    }),
  )
  const nearestCall = Math.max(...calls.map((step) => step ?? -1))
  return nearestCall >= 0 ? nearestCall : from - 1
}

function isReturnBytes([first = 0, second = 0]: readonly Byte[]): boolean {
  return first === 0xc9 || (first & 0xc7) === 0xc0 || (first === 0xed && (second & 0xc7) === 0x45)
}
