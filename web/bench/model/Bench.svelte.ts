import type { ListingLine, ProgramFormat } from '../../../core/assembler/index.ts'
import type { BoardProfile } from '../../../core/board/index.ts'
import type { Registers } from '../../../core/cpu/index.ts'
import type { Problem } from '../../../core/image/index.ts'
import type { SessionNote, SessionProgram } from '../../../core/exports/index.ts'
import type { Stop } from '../../../core/run/index.ts'
import type { BenchFrame, BenchReply, BenchRequest, SpeakerSpan } from '../worker/protocol.ts'
import { stopWords } from './stop-words.ts'

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

/** A moment to come back to. */
export interface KeptMoment {
  readonly number: number
  readonly t: number
  readonly step: number
}

/** Speeds to choose from, in board seconds a second; null is as fast as it goes. */
export const speeds: readonly { readonly factor: number | null; readonly words: string }[] = [
  { factor: 4, words: 'four times' },
  { factor: 1, words: 'true speed' },
  { factor: 0.5, words: 'a half' },
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
  /** Told the registers after each single step. */
  onstep: ((registers: Registers) => void) | null = null
  readonly #port: BenchPort
  readonly #nextFrame: (draw: () => void) => void
  #frame = $state.raw<BenchFrame | null>(null)
  #program = $state.raw<BenchProgram | null>(null)
  #problems = $state.raw<readonly Problem[]>([])
  #fault = $state('')
  #stops = $state.raw<readonly Stop[]>([])
  #kept = $state.raw<readonly KeptMoment[]>([])
  #nextKept = 1
  #source: SessionProgram | null = null
  #sessionProblems = $state.raw<readonly string[]>([])
  #notes = $state.raw<readonly SessionNote[]>([])
  #speed = $state<number | null>(1)
  #isOn = $state(true)
  #pending: BenchFrame | null = null
  #title = ''
  #onsession: ((text: string) => void) | null = null

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

  /** Where the machine stops, in the order in which they were set. */
  get stops(): readonly Stop[] {
    return this.#stops
  }

  /** Those of the stops that are addresses. */
  get addressStops(): ReadonlySet<number> {
    return addressesOf(this.#stops)
  }

  /** Moments that were kept, the oldest first. */
  get kept(): readonly KeptMoment[] {
    return this.#kept
  }

  /** Why the last session file could not be opened. */
  get sessionProblems(): readonly string[] {
    return this.#sessionProblems
  }

  /** Notes that came with a session. */
  get notes(): readonly SessionNote[] {
    return this.#notes
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
    this.#source = { format, text }
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
    this.#port.postMessage({ kind: 'stops', stops: this.#stops })
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

  /** Before the instruction at an address: set, or taken away. */
  toggleStop(address: number): void {
    const stop: Stop = { kind: 'address', address }
    if (this.addressStops.has(address)) this.removeStop(stop)
    else this.addStop(stop)
  }

  /** One that is there already is not set twice. */
  addStop(stop: Stop): void {
    if (!this.#stops.some((each) => stopWords(each) === stopWords(stop))) this.#setStops([...this.#stops, stop])
  }

  removeStop(stop: Stop): void {
    this.#setStops(this.#stops.filter((each) => stopWords(each) !== stopWords(stop)))
  }

  /** To T-state `t` of all that was done here. */
  goTo(t: number): void {
    this.#port.postMessage({ kind: 'go-to', t: Math.max(0, Math.round(t)) })
  }

  stepBack(): void {
    this.#port.postMessage({ kind: 'step-back' })
  }

  runBack(): void {
    this.#port.postMessage({ kind: 'run-back' })
  }

  /** Keeps the present moment, to come back to whatever is done meanwhile. */
  keep(): void {
    this.#port.postMessage({ kind: 'keep', number: this.#nextKept })
    this.#nextKept += 1
  }

  comeBack(number: number): void {
    this.#port.postMessage({ kind: 'come-back', number })
  }

  forget(number: number): void {
    this.#kept = this.#kept.filter((moment) => moment.number !== number)
  }

  /** All that was done here, as the text of a file. */
  session(title: string): Promise<string> {
    return new Promise((resolve) => {
      this.#onsession = resolve
      this.#port.postMessage({ kind: 'session', title, program: this.#source })
    })
  }

  openSession(text: string): void {
    this.#sessionProblems = []
    this.#isOn = true
    this.#port.postMessage({ kind: 'open-session', text })
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

  #setStops(stops: readonly Stop[]): void {
    this.#stops = stops
    this.#port.postMessage({ kind: 'stops', stops })
  }

  #receive(reply: BenchReply): void {
    switch (reply.kind) {
      case 'kept': {
        const { number, t, step } = reply
        this.#kept = [...this.#kept, { number, t, step }]
        return
      }
      case 'session':
        this.#onsession?.(reply.text)
        this.#onsession = null
        return
      case 'session-opened':
        this.#title = reply.title
        this.#source = reply.program
        this.#notes = reply.notes
        this.#kept = []
        return
      case 'session-unreadable':
        this.#sessionProblems = reply.problems
        return
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
    if (frame.stopped === 'step') this.onstep?.(frame.registers)
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

function addressesOf(stops: readonly Stop[]): ReadonlySet<number> {
  return new Set(stops.flatMap((stop) => (stop.kind === 'address' ? [stop.address] : [])))
}
