import { SvelteSet } from 'svelte/reactivity'
import type { ListingLine, ProgramFormat } from '../../../core/assembler/index.ts'
import type { BoardProfile } from '../../../core/board/index.ts'
import type { Registers } from '../../../core/cpu/index.ts'
import type { Problem } from '../../../core/image/index.ts'
import type { BenchFrame, BenchReply, BenchRequest, SpeakerSpan } from '../worker/protocol.ts'

/** The part of a Worker that is used here; a test gives its own. */
export interface BenchPort {
  postMessage(request: BenchRequest): void
  onmessage: ((event: { readonly data: BenchReply }) => unknown) | null
  terminate(): void
}

export interface BenchProgram {
  readonly title: string
  readonly listing: readonly ListingLine[]
  readonly symbols: Readonly<Record<string, number>>
  readonly entry: number
  readonly bytes: number
  readonly warnings: readonly Problem[]
}

/** Speeds to choose from, in board seconds a second; null is as fast as it goes. */
export const speeds: readonly { readonly factor: number | null; readonly words: string }[] = [
  { factor: 1, words: 'true speed' },
  { factor: 0.1, words: 'a tenth' },
  { factor: 0.01, words: 'a hundredth' },
  { factor: 0.0001, words: 'one in ten thousand' },
  { factor: null, words: 'as fast as it goes' },
]

/** The board on screen: what is known of the machine in the worker, and the hands on it. */
export class Bench {
  readonly board: BoardProfile
  /** Told what the speaker did, frame after frame, while the board runs at true speed. */
  onsound: ((span: SpeakerSpan) => void) | null = null
  readonly #port: BenchPort
  readonly #nextFrame: (draw: () => void) => void
  #frame = $state.raw<BenchFrame | null>(null)
  #program = $state.raw<BenchProgram | null>(null)
  #problems = $state.raw<readonly Problem[]>([])
  #fault = $state('')
  readonly #stops = new SvelteSet<number>()
  #speed = $state<number | null>(1)
  #isOn = $state(true)
  #pending: BenchFrame | null = null
  #title = ''

  /** `nextFrame` calls back when the screen is about to draw, so that no more is drawn than can be seen. */
  constructor(board: BoardProfile, port: BenchPort, nextFrame: (draw: () => void) => void) {
    this.board = board
    this.#port = port
    this.#nextFrame = nextFrame
    port.onmessage = (event) => this.#receive(event.data)
    this.powerOn()
  }

  get frame(): BenchFrame | null {
    return this.#frame
  }

  get program(): BenchProgram | null {
    return this.#program
  }

  /** Why the last text could not be loaded. */
  get problems(): readonly Problem[] {
    return this.#problems
  }

  get fault(): string {
    return this.#fault
  }

  /** Addresses before which the machine stops. */
  get stops(): ReadonlySet<number> {
    return this.#stops
  }

  get speed(): number | null {
    return this.#speed
  }

  get isOn(): boolean {
    return this.#isOn
  }

  get isRunning(): boolean {
    return this.#frame?.isRunning ?? false
  }

  load(title: string, format: ProgramFormat, text: string): void {
    this.#problems = []
    this.#title = title
    this.#port.postMessage({ kind: 'load', format, text })
  }

  run(): void {
    this.#port.postMessage({ kind: 'run' })
  }

  stop(): void {
    this.#port.postMessage({ kind: 'stop' })
  }

  step(): void {
    this.#port.postMessage({ kind: 'step' })
  }

  reset(): void {
    this.#port.postMessage({ kind: 'reset' })
  }

  /** Off: RAM is lost and the board goes dark. */
  powerOff(): void {
    this.#port.postMessage({ kind: 'stop' })
    this.#isOn = false
    this.#program = null
    this.#frame = null
    this.#pending = null
  }

  /** On: the firmware starts, as on the bare board. */
  powerOn(): void {
    this.#isOn = true
    this.#fault = ''
    this.#port.postMessage({ kind: 'power-on', board: this.board })
    this.#port.postMessage({ kind: 'breakpoints', addresses: [...this.#stops] })
    this.run()
  }

  key(key: string, isDown: boolean): void {
    this.#port.postMessage({ kind: 'key', key, isDown })
  }

  turnSwitch(bit: number): void {
    this.#port.postMessage({ kind: 'switches', value: (this.#frame?.switches ?? 0) ^ (1 << bit) })
  }

  setTimer(isOn: boolean): void {
    this.#port.postMessage({ kind: 'timer', isOn })
  }

  setRegisters(some: Partial<Registers>): void {
    this.#port.postMessage({ kind: 'registers', some })
  }

  setByte(address: number, value: number): void {
    this.#port.postMessage({ kind: 'byte', address, value })
  }

  toggleStop(address: number): void {
    if (!this.#stops.delete(address)) this.#stops.add(address)
    this.#port.postMessage({ kind: 'breakpoints', addresses: [...this.#stops] })
  }

  chooseSpeed(factor: number | null): void {
    this.#speed = factor
    this.#port.postMessage({ kind: 'speed', factor })
  }

  look(from: number): void {
    this.#port.postMessage({ kind: 'look', from })
  }

  close(): void {
    this.#port.onmessage = null
    this.#port.terminate()
  }

  #receive(reply: BenchReply): void {
    switch (reply.kind) {
      case 'frame':
        return this.#take(reply.frame)
      case 'loaded': {
        const { listing, symbols, entry, bytes, warnings } = reply
        this.#program = { title: this.#title, listing, symbols, entry, bytes, warnings }
        return
      }
      case 'unreadable':
        this.#problems = reply.problems
        return
      case 'fault':
        this.#fault = reply.message
        return
    }
  }

  #take(frame: BenchFrame): void {
    if (!this.#isOn) return
    if (frame.isRunning && this.#speed === 1) this.onsound?.(frame.speaker)
    const isWaiting = this.#pending !== null
    this.#pending = frame
    if (isWaiting) return
    this.#nextFrame(() => {
      if (this.#pending !== null) this.#frame = this.#pending
      this.#pending = null
    })
  }
}
