import { eventCode } from '../board/index.ts'
import { decode } from '../cpu/index.ts'
import type { Byte } from '../cpu/index.ts'
import { changes, reads, stops, values, writes, type Hits } from './hits.ts'
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
  const end = recording.result.steps
  const near = (hits: Hits) => nearest(recording, replay, from, direction, hits)
  switch (what.kind) {
    case 'pc':
      return near(stops(replay, [what.address]))
    case 'breakpoint':
      return what.addresses.length === 0 ? null : near(stops(replay, what.addresses))
    case 'memory-write':
      return near(writes(replay, what.address, end))
    case 'memory-read':
      return near(reads(replay, what.address, end))
    case 'register-change':
      return near(changes(replay, what.register, end))
    case 'register-is':
      return near(values(replay, what.register, end, (value) => value === what.value))
    case 'port-write':
      return portWrite(recording, from, direction, what.port)
    case 'same-sp':
      return sameSp(recording, replay, from, direction)
    case 'same-depth':
      return direction === 'on' ? overCall(recording, replay, from) : backOverCall(recording, replay, from)
    case 'any': {
      const found = what.of.flatMap((each) => search(recording, replay, from, direction, each) ?? [])
      if (found.length === 0) return null
      return direction === 'on' ? Math.min(...found) : Math.max(...found)
    }
  }
}

/** Looks at one stretch between two checkpoints after the other. */
function nearest({ result }: Recording, replay: Replay, from: number, direction: Direction, hits: Hits): number | null {
  const bounds = [...replay.checkpointSteps, result.steps + 1]
  const stretches = bounds.slice(0, -1).map((start, k): [number, number] => [start, bounds[k + 1] ?? start])
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

/** The other side of what lies between: SP moved away from where it is now, and was the same before (or is again). */
function sameSp(recording: Recording, replay: Replay, from: number, direction: Direction): number | null {
  const end = recording.result.steps
  const { sp } = recording.at(from).registers
  const away = nearest(
    recording,
    replay,
    from,
    direction,
    values(replay, 'sp', end, (value) => value !== sp),
  )
  if (away === null) return null
  return nearest(
    recording,
    replay,
    away,
    direction,
    values(replay, 'sp', end, (value) => value === sp),
  )
}

function overCall(recording: Recording, replay: Replay, from: number): number | null {
  if (from >= recording.result.steps) return null
  const { pc, sp } = recording.at(from).registers
  const { instruction, bytes } = decode((address) => replay.machine.memory[address] ?? 0, pc)
  if (!/^(CALL|RST)/.test(instruction.text)) return from + 1
  const back = (pc + bytes.length) & 0xffff
  return nearest(recording, replay, from, 'on', function* (first, after) {
    for (const step of stops(replay, [back])(first, after)) if (replay.machine.registers().sp === sp) yield step
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
      for (const step of stops(replay, [(pc - length) & 0xffff])(first, after)) {
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
