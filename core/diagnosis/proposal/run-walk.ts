import { eventCode } from '../../board/index.ts'
import type { Addr, TState } from '../../cpu/index.ts'
import type { Recording, RunRequest } from '../../run/index.ts'

/** A read of an input port, and the place in the program that led to it. */
export interface InputRead {
  readonly t: TState
  readonly port: number
  /** The program's own instruction: the IN itself, or the CALL into the firmware that reads. */
  readonly at: Addr
  /** Where it came into the firmware; null where it read itself. */
  readonly through: Addr | null
}

/** One walk over a recorded run. */
export interface RunWalk {
  /** Every address at which an instruction began. */
  readonly seen: ReadonlySet<Addr>
  readonly reads: readonly InputRead[]
}

/** Walks over the whole run; `ports` are those whose reads are wanted. */
export function walkOver(recording: Recording, { image }: RunRequest, ports: readonly number[]): RunWalk {
  const { events, result } = recording
  // One byte an address: this is asked millions of times.
  const own = new Uint8Array(0x10000)
  for (const { start, bytes } of image.segments) own.fill(1, start, start + bytes.length)
  const been = new Uint8Array(0x10000)
  const wanted: number[] = []
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) === eventCode.portRead && ports.includes(events.whereAt(i))) wanted.push(i)
  }
  const reads: InputRead[] = []
  let next = 0
  let at: Addr = image.segments[0]?.start ?? 0
  let through: Addr | null = null
  let wasOwn = 1
  let nextAt = wanted.length > 0 ? events.timeAt(wanted[0] ?? 0) : Infinity
  const readUpTo = (t: TState): void => {
    for (let i = wanted[next]; i !== undefined && events.timeAt(i) < t; i = wanted[next]) {
      reads.push({ t: events.timeAt(i), port: events.whereAt(i), at, through })
      next += 1
    }
    const following = wanted[next]
    nextAt = following === undefined ? Infinity : events.timeAt(following)
  }
  recording.walk(0, result.steps, (_step, t, pc) => {
    if (t > nextAt) readUpTo(t)
    been[pc] = 1
    if (own[pc] === 1) {
      at = pc
      through = null
      wasOwn = 1
    } else {
      if (wasOwn === 1) through = pc
      wasOwn = 0
    }
  })
  readUpTo(Infinity)
  const seen = new Set<Addr>()
  for (let pc = 0; pc < been.length; pc++) if (been[pc] === 1) seen.add(pc)
  return { seen, reads }
}
