import { eventCode, type BoardProfile } from '../board/index.ts'
import type { Addr, AnyRegister, TState } from '../cpu/index.ts'
import { wordDigits } from '../image/index.ts'
import type { History, Recording } from '../run/index.ts'

/** A value over time as a dump has it: `values[i]` from `times[i]` on; `times[0]` is the start of the window. */
export interface Signal {
  /** Names of the scopes that it stands in, from outside in. */
  readonly scope: string
  /** Letters, figures and `_`. */
  readonly name: string
  readonly bits: number
  readonly times: ArrayLike<TState>
  readonly values: ArrayLike<number>
}

/** What a dump can hold beside what stands on the board: registers, bytes of memory, PC. */
export type CpuLane =
  { readonly kind: 'register'; readonly register: AnyRegister } | { readonly kind: 'memory'; readonly address: Addr }

interface Window {
  readonly from: TState
  readonly to: TState
}

/** Segments, digit select, speaker, lamps, switches, keys, and interrupts taken and lost, each in every detail. */
export function boardSignals(recording: Recording, profile: BoardProfile, { from, to }: Window): Signal[] {
  const { events } = recording
  const { display, lamps, keypad, switches } = profile
  const wires = new Map<string, Wire>()
  const add = (scope: string, name: string, bits: number, idle: number) => {
    const wire = new Wire(scope, name, bits, idle)
    wires.set(name, wire)
    return wire
  }
  const idle = (isActiveHigh: boolean) => (isActiveHigh ? 0x00 : 0xff)
  const segments = add('display', 'segments', 8, idle(display.isSegmentActiveHigh))
  const select = add('display', 'select', 8, idle(display.isDigitActiveHigh))
  const cone = add('sound', 'speaker', 1, 0)
  const row = lamps === null ? null : add('lamps', 'lamps', 8, 0)
  const moved = switches === null ? null : add('switches', 'switches', 8, recording.at(0).outputs.switches)
  const taken = add('interrupts', 'interrupt_taken', 1, 0)
  const lost = add('interrupts', 'interrupt_lost', 1, 0)
  const keys = new Map(
    keypad.keys
      .flat()
      .filter((name) => name !== '')
      .map((name) => [name, add('keypad', `key_${nameOf(name)}`, 1, 0)] as const),
  )
  for (let i = 0; i < events.length; i++) {
    const t = events.timeAt(i)
    if (t >= to) break
    const value = events.valueAt(i)
    switch (events.codeAt(i)) {
      case eventCode.portWrite: {
        const port = events.whereAt(i)
        if (port === display.segmentPort) segments.set(t, value, from)
        if (port === display.selectPort) select.set(t, value, from)
        if (port === lamps?.port) row?.set(t, value, from)
        break
      }
      case eventCode.speakerEdge:
        cone.set(t, value, from)
        break
      case eventCode.key: {
        const event = events.at(i)
        if (event?.kind === 'key') keys.get(event.key)?.set(t, value, from)
        break
      }
      case eventCode.switches:
        moved?.set(t, value, from)
        break
      case eventCode.interrupt:
        taken.pulse(t, from)
        break
      case eventCode.interruptLost:
        lost.pulse(t, from)
    }
  }
  return [...wires.values()].map((wire) => wire.finish(from))
}

/** The lanes asked for. The history of a lane comes in pieces where it is long. */
export function cpuSignals(recording: Recording, lanes: readonly CpuLane[], { from, to }: Window): Signal[] {
  return lanes.map((lane) => {
    const pieces: History[] = []
    for (let start = from; start < to || pieces.length === 0;) {
      const piece = recording.questions.history(lane, { from: start, to })
      pieces.push(piece)
      start = piece.until
      if (piece.until >= to) break
    }
    const [first] = pieces
    const isWhole = pieces.length === 1 && first !== undefined
    const times = isWhole ? first.times : pieces.flatMap((piece) => [...piece.times])
    const values = isWhole ? first.values : pieces.flatMap((piece) => [...piece.values])
    if (lane.kind === 'memory')
      return { scope: 'memory', name: `at_${wordDigits(lane.address)}h`, bits: 8, times, values }
    return { scope: 'cpu', name: lane.register.replace('_', '_second'), bits: bitsOf(lane.register), times, values }
  })
}

/** The bits of a signal as signals, bit 0 first. */
export function bitsOfSignal(signal: Signal): Signal[] {
  const { scope, name, bits, times, values } = signal
  if (bits === 1) return [signal]
  return Array.from({ length: bits }, (_, bit) => {
    const wire = new Wire(scope, `${name}_${bit}`, 1, ((values[0] ?? 0) >> bit) & 1)
    const from = times[0] ?? 0
    for (let i = 0; i < times.length; i++) wire.set(times[i] ?? 0, ((values[i] ?? 0) >> bit) & 1, from)
    return wire.finish(from)
  })
}

function bitsOf(register: AnyRegister): number {
  if (register === 'iff1' || register === 'iff2' || register === 'isHalted') return 1
  if (register === 'im') return 2
  if (register === 'i' || register === 'r' || register === 'q') return 8
  return /^([abcdefhl]|i[xy][hl])_?$/.test(register) ? 8 : 16
}

/** A key's name as an identifier. */
function nameOf(text: string): string {
  return text.replace(/[^A-Za-z0-9_]/g, (character) => `_${character.codePointAt(0)?.toString(16) ?? ''}_`)
}

class Wire {
  readonly #scope: string
  readonly #name: string
  readonly #bits: number
  #value: number
  readonly #times: TState[] = []
  readonly #values: number[] = []

  constructor(scope: string, name: string, bits: number, value: number) {
    this.#scope = scope
    this.#name = name
    this.#bits = bits
    this.#value = value
  }

  /** What comes up to `from` only sets the value at the start. */
  set(t: TState, value: number, from: TState): void {
    if (t <= from || this.#times.length === 0) this.#start(from)
    if (value === this.#value) return
    this.#value = value
    if (t <= from) {
      this.#values[0] = value
      return
    }
    const last = this.#times.length - 1
    if (this.#times[last] === t) this.#values[last] = value
    else {
      this.#times.push(t)
      this.#values.push(value)
    }
  }

  /** 1 for the one T-state `t`. */
  pulse(t: TState, from: TState): void {
    this.set(t, 1, from)
    this.set(t + 1, 0, from)
  }

  finish(from: TState): Signal {
    this.#start(from)
    const [scope, name, bits] = [this.#scope, this.#name, this.#bits]
    return { scope, name, bits, times: this.#times, values: this.#values }
  }

  #start(from: TState): void {
    if (this.#times.length > 0) return
    this.#times.push(from)
    this.#values.push(this.#value)
  }
}
