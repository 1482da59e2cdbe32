import { type BoardProfile, type EventLog, eventCode } from '../../../core/board/index.ts'
import { byteDigits } from '../../../core/image/index.ts'
import type { Lane } from '../model/lane.ts'
import { type Runs, RunsBuilder } from '../model/runs.ts'

type Bits = Lane & { readonly kind: 'bits' }

/** What was written to a port, or read from it; `first` held before. */
function portRuns(
  events: EventLog,
  code: number,
  port: number,
  end: number,
  first: number,
  say = (value: number) => value,
): Runs {
  const builder = new RunsBuilder()
  builder.append(0, say(first))
  for (let i = 0; i < events.length; i += 1) {
    if (events.codeAt(i) === code && (events.whereAt(i) & 0xff) === port)
      builder.append(events.timeAt(i), say(events.valueAt(i)))
  }
  return builder.finish(end)
}

/** One row a segment: whatever digit is selected, these are the lines that are driven. */
export function segmentLane(events: EventLog, { display }: BoardProfile, end: number): Bits {
  const say = rowsOf(display.segmentBits, display.isSegmentActiveHigh)
  const idle = display.isSegmentActiveHigh ? 0 : 0xff
  const runs = portRuns(events, eventCode.portWrite, display.segmentPort, end, idle, say)
  return { kind: 'bits', id: 'segments', title: 'Segments', runs, noun: 'segment', names: [...'abcdefg', 'point'] }
}

export function selectLane(events: EventLog, { display }: BoardProfile, end: number): Bits {
  const say = rowsOf(display.digitBits, display.isDigitActiveHigh)
  const idle = display.isDigitActiveHigh ? 0 : 0xff
  const runs = portRuns(events, eventCode.portWrite, display.selectPort, end, idle, say)
  const names = display.digitBits.map((_, digit) => String(digit + 1))
  return { kind: 'bits', id: 'select', title: 'Digit select', runs, noun: 'digit', names }
}

/** Null on a board without lamps. */
export function lampLane(events: EventLog, { lamps }: BoardProfile, end: number): Bits | null {
  if (lamps === null) return null
  const runs = portRuns(events, eventCode.portWrite, lamps.port, end, 0, rowsOf(lamps.bits, true))
  return { kind: 'bits', id: 'lamps', title: 'Lamps', runs, noun: 'lamp', names: lamps.bits.map((bit) => String(bit)) }
}

/** As they stand on the board, moved by hand; `first` is how they stood at the start. Null on a board without switches. */
export function switchLane(events: EventLog, { switches }: BoardProfile, end: number, first: number): Bits | null {
  if (switches === null) return null
  const say = rowsOf(switches.bits, true)
  const builder = new RunsBuilder()
  builder.append(0, say(first))
  for (let i = 0; i < events.length; i += 1)
    if (events.codeAt(i) === eventCode.switches) builder.append(events.timeAt(i), say(events.valueAt(i)))
  const names = switches.bits.map((bit) => String(bit))
  return { kind: 'bits', id: 'switches', title: 'Switches', runs: builder.finish(end), noun: 'switch', names }
}

/** Before the first write or read nothing is known of it: 0 is shown. */
export function portLane(events: EventLog, way: 'written' | 'read', port: number, end: number): Lane {
  const code = way === 'written' ? eventCode.portWrite : eventCode.portRead
  return {
    kind: 'value',
    id: `${way}-${byteDigits(port)}`,
    title: `Port ${byteDigits(port)} ${way}`,
    runs: portRuns(events, code, port, end, 0),
    digits: 2,
  }
}

/** The bits of a port in the order of the rows, 1 for on. */
function rowsOf(bits: readonly number[], isActiveHigh: boolean): (value: number) => number {
  return (value) =>
    bits.reduce((rows, bit, row) => rows | (((value >> bit) & 1) === (isActiveHigh ? 1 : 0) ? 1 << row : 0), 0)
}
