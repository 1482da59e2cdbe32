import { eventCode } from '../../board/index.ts'
import type { Addr, Byte, TState } from '../../cpu/index.ts'
import type { Recording } from '../../run/index.ts'

/** The last write to a port before T-state `t`, those of the byte `except` left out. */
export function lastPortWrite(
  { events }: Pick<Recording, 'events'>,
  port: number | null,
  t: TState,
  except: Byte | null = null,
): { readonly t: TState; readonly pc: Addr; readonly value: number; readonly port: number } | null {
  for (let i = events.firstFrom(t) - 1; i >= 0; i--) {
    if (events.codeAt(i) !== eventCode.portWrite || (port !== null && events.whereAt(i) !== port)) continue
    if (events.valueAt(i) === except) continue
    return { t: events.timeAt(i), pc: events.pcAt(i), value: events.valueAt(i), port: events.whereAt(i) }
  }
  return null
}
