import { type Program, type ReadOptions, readProgram } from '../../../core/assembler/index.ts'
import { type BoardProfile, bytesOfHex, measureSpeaker, speakerEdges } from '../../../core/board/index.ts'
import type { Registers } from '../../../core/cpu/index.ts'
import { imageSize } from '../../../core/image/index.ts'
import { type Input, type Machine, type Stop, Tape } from '../../../core/run/index.ts'
import { type SessionProgram, readSession, sessionReadOptions } from '../../../core/exports/index.ts'
// Not through the index: a worker must not pull in components.
import type { SeenDigit } from '../../machine/display-words.ts'
import { codeAround } from '../../machine/code-around.ts'
import { Fingers, type Touch } from './fingers.ts'
import { type Kept, isNextLater } from './kept.ts'
import { Pace } from './pace.ts'
import { type BenchFrame, type BenchReply, type BenchRequest, lookLength } from './protocol.ts'
import { putStart, sessionText } from './session-of.ts'

export interface BenchOptions {
  readonly post: (reply: BenchReply) => void
  /** Milliseconds of a clock that never goes back. */
  readonly now: () => number
  /** Calls back once, after some milliseconds. */
  readonly later: (milliseconds: number, callback: () => void) => void
}

/** A sixtieth of a second: as often as a screen draws. */
const framePause = 16
/** Seconds of board time that stay known: what an eye needs to tell a blinking sign, and a little more. */
const rememberedSeconds = 1.2
/** The eye adds up light for this long: no use in asking it more often. */
const eyeMilliseconds = 33
/** In board time. A sweep of eight digits at a millisecond each looks at every key once: three see it down, two see all up. */
const holdMilliseconds = 26
const gapMilliseconds = 18
/** RAM at power-on. */
const dark = { byte: 0 } as const
/** A note is measured over the last tenth of a second of board time. */
const listenedSeconds = 0.1

/** The worker's side of the bench: one machine, run in slices between which messages are heard. */
export class BenchDesk {
  readonly #options: BenchOptions
  readonly #pace: Pace
  #tape: Tape | null = null
  #board: BoardProfile | null = null
  #stops: readonly Stop[] = []
  readonly #kept = new Map<number, Kept>()
  #isRunning = false
  #stopped: BenchFrame['stopped'] = null
  #before: Registers | null = null
  #lookFrom = 0
  #toldUpTo = 0
  #level: 0 | 1 = 0
  #seen: readonly SeenDigit[] = []
  #seenAt = -Infinity
  #names: ReadonlyMap<number, string> = new Map()
  readonly #nameAt = (address: number) => this.#names.get(address) ?? null
  #touches: Touch = { hold: 0, gap: 0 }
  #fingers = new Fingers(this.#touches)

  constructor(options: BenchOptions) {
    this.#options = options
    this.#pace = new Pace(options.now)
  }

  handle(request: BenchRequest): void {
    try {
      this.#do(request)
    } catch (error) {
      this.#isRunning = false
      this.#options.post({ kind: 'fault', message: error instanceof Error ? error.message : String(error) })
    }
  }

  #do(request: BenchRequest): void {
    if (request.kind === 'power-on') return this.#powerOn(request.board)
    if (request.kind === 'speed') return this.#pace.choose(request.factor)
    const tape = this.#tape
    if (tape === null) return
    switch (request.kind) {
      case 'load':
        this.#load(tape, request)
        break
      case 'run':
        return this.#run(tape)
      case 'stop':
        this.#halt('asked')
        break
      case 'step':
        this.#step(tape)
        break
      case 'reset':
        this.#put(tape, { kind: 'reset' })
        break
      case 'key':
        this.#fingers.move(request.key, request.isDown)
        this.#touch(tape)
        break
      case 'switches':
        this.#put(tape, { kind: 'switches', value: request.value })
        break
      case 'timer':
        this.#put(tape, { kind: 'timer', isOn: request.isOn })
        break
      case 'registers':
        this.#put(tape, { kind: 'registers', set: request.some })
        break
      case 'byte':
        this.#put(tape, { kind: 'bytes', at: request.address & 0xffff, bytes: [request.value] })
        break
      case 'stops':
        this.#stops = request.stops
        tape.setStops(request.stops)
        break
      case 'look':
        this.#lookFrom = request.from & 0xffff
        break
      case 'go-to':
        tape.goToTime(request.t)
        this.#rewound(tape, 'rewound')
        break
      case 'step-back':
        tape.stepBack()
        this.#rewound(tape, 'rewound')
        break
      case 'run-back':
        this.#rewound(tape, tape.runBack() ?? 'rewound')
        break
      case 'keep':
        this.#kept.set(request.number, {
          fill: tape.fill,
          inputs: tape.inputs.filter(({ t }) => t <= tape.t),
          t: tape.t,
          step: tape.step,
        })
        this.#options.post({ kind: 'kept', number: request.number, t: tape.t, step: tape.step })
        break
      case 'come-back':
        return this.#comeBack(tape, request.number)
      case 'session':
        this.#options.post({ kind: 'session', text: sessionText(tape, request) })
        return
      case 'open-session':
        return this.#openSession(request.text, tape.machine.profile)
    }
    this.#frame(this.#tape ?? tape)
  }

  /** The first time a fresh tape; later the power of the same machine. */
  #powerOn(board: BoardProfile): void {
    if (this.#tape !== null && this.#board?.id === board.id) this.#put(this.#tape, { kind: 'power-on', fill: dark })
    else this.#take(new Tape(board, dark), board)
    const tape = this.#tape
    if (tape === null) return
    this.#names = namesOf(board.firmware.labels, null)
    this.#isRunning = false
    this.#stopped = null
    this.#toldUpTo = 0
    this.#level = 0
    this.#frame(tape)
  }

  #take(tape: Tape, board: BoardProfile): void {
    this.#tape = tape
    this.#board = board
    tape.setStops(this.#stops)
    const ms = board.clockHz / 1000
    this.#touches = { hold: holdMilliseconds * ms, gap: gapMilliseconds * ms }
    this.#fingers = new Fingers(this.#touches)
  }

  /** Whatever is done by hand goes onto the tape. */
  #put(tape: Tape, input: Input): void {
    tape.put(input)
    this.#before = null
  }

  /** Another moment: what was heard and touched until now belongs to the one before. */
  #rewound(tape: Tape, why: BenchFrame['stopped']): void {
    this.#halt(why)
    this.#before = null
    this.#fingers = new Fingers(this.#touches)
    this.#toldUpTo = tape.machine.tStates
    this.#level = tape.machine.board.save().speaker
  }

  /** The way there may have been cut meanwhile: then what was done is done again, up to that moment. */
  #comeBack(tape: Tape, number: number): void {
    const kept = this.#kept.get(number)
    const board = this.#board
    if (kept === undefined || board === null) return
    const isOnTape =
      tape.length.steps >= kept.step &&
      kept.inputs.every((each, i) => each === tape.inputs[i]) &&
      isNextLater(tape, kept)
    if (!isOnTape) this.#take(Tape.play(board, kept.fill, kept.inputs, kept.t), board)
    const there = this.#tape ?? tape
    there.goTo(kept.step)
    this.#rewound(there, 'rewound')
    this.#frame(there)
  }

  #openSession(text: string, board: BoardProfile): void {
    const reading = readSession(text)
    if ('problems' in reading) {
      const problems = reading.problems.map(({ message }) => message)
      return this.#options.post({ kind: 'session-unreadable', problems })
    }
    const { session } = reading
    if (session.board !== board.id) {
      const problem = `It is of the board ${session.board}, and this bench has the ${board.title}.`
      return this.#options.post({ kind: 'session-unreadable', problems: [problem] })
    }
    const { title, program, notes } = session
    this.#options.post({ kind: 'session-opened', title, program, notes })
    this.#isRunning = false
    if (session.tape !== null) {
      this.#take(Tape.play(board, session.tape.fill, session.tape.inputs, session.tape.until), board)
      this.#tellProgram(program, board)
    } else {
      this.#take(new Tape(board, session.start?.fill ?? dark), board)
      const tape = this.#tape
      if (tape !== null) {
        const read = this.#load(tape, program)
        if (session.start !== null && read !== null) putStart(tape, session.start, read)
      }
    }
    const tape = this.#tape
    if (tape === null) return
    this.#rewound(tape, 'asked')
    this.#frame(tape)
  }

  /** The program goes into memory and PC to its entry, with RAM and stack as the firmware leaves them for it. */
  #load(tape: Tape, source: SessionProgram): Program | null {
    const { profile } = tape.machine
    const program = this.#tellProgram(source, profile)
    if (program === null) return null
    const { layout, firmware } = profile
    for (const { at, hex } of firmware.ready) this.#put(tape, { kind: 'bytes', at, bytes: [...bytesOfHex(hex)] })
    for (const { start, bytes } of program.image.segments)
      this.#put(tape, { kind: 'bytes', at: start, bytes: [...bytes] })
    const sp = (layout.stackTop - 2) & 0xffff
    const back = firmware.returnTo ?? 0
    this.#put(tape, { kind: 'bytes', at: sp, bytes: [back & 0xff, back >> 8] })
    this.#put(tape, { kind: 'registers', set: { pc: program.entry, sp, isHalted: false } })
    this.#halt('asked')
    return program
  }

  /** Its listing to the page, its names to the code about PC; null, and the problems told, where it is no program. */
  #tellProgram(source: SessionProgram, profile: BoardProfile): Program | null {
    const program = readProgram(source, sessionReadOptions(source, readOptions(profile)))
    if (!program.isOk) {
      this.#options.post({ kind: 'unreadable', problems: program.problems })
      return null
    }
    this.#names = namesOf(profile.firmware.labels, program)
    this.#options.post({
      kind: 'loaded',
      listing: program.listing,
      symbols: program.symbols,
      entry: program.entry,
      bytes: imageSize(program.image),
      warnings: program.problems,
    })
    return program
  }

  #run(tape: Tape): void {
    if (this.#isRunning) return
    this.#isRunning = true
    this.#stopped = null
    this.#before = null
    this.#pace.start()
    this.#slice(tape)
  }

  #halt(why: BenchFrame['stopped']): void {
    this.#isRunning = false
    this.#stopped = why
  }

  #step(tape: Tape): void {
    this.#halt('step')
    this.#before = tape.machine.registers()
    tape.stepOn()
  }

  #touch(tape: Tape): void {
    for (const { key, isDown } of this.#fingers.due(tape.t)) tape.put({ kind: 'key', key, isDown })
  }

  #slice(tape: Tape): void {
    if (!this.#isRunning || tape !== this.#tape) return
    try {
      for (const share of this.#pace.shares(tape.machine.profile.clockHz)) {
        const began = tape.t
        const stop = tape.run(began + share)
        this.#pace.spent(tape.t - began)
        this.#touch(tape)
        if (stop === null) continue
        this.#halt(stop)
        break
      }
    } catch (error) {
      this.#halt('asked')
      this.#options.post({ kind: 'fault', message: error instanceof Error ? error.message : String(error) })
    }
    this.#frame(tape)
    if (this.#isRunning) this.#options.later(framePause, () => this.#slice(tape))
  }

  #frame(tape: Tape): void {
    const { machine } = tape
    const { board, profile } = machine
    // Power off and on starts the machine's own time anew.
    if (machine.tStates < this.#toldUpTo) this.#toldUpTo = 0
    const from = this.#toldUpTo
    const to = machine.tStates
    const { t: edges } = speakerEdges(machine.events, { from, to })
    const levelBefore = this.#level
    if (edges.length % 2 === 1) this.#level = this.#level === 1 ? 0 : 1
    this.#toldUpTo = to
    const heard = { from: Math.max(0, to - listenedSeconds * profile.clockHz), to }
    const frame: BenchFrame = {
      t: tape.t,
      steps: tape.step,
      tape: { step: tape.step, ...tape.length },
      isRunning: this.#isRunning,
      stopped: this.#stopped,
      registers: machine.registers(),
      before: this.#before,
      digits: this.#see(machine),
      speaker: {
        ...{ from, to, levelBefore, edges: Float64Array.from(edges) },
        frequencyHz: measureSpeaker(machine.events, profile, heard).frequencyHz,
      },
      lamps: board.lamps,
      switches: board.switches.value,
      isTimerOn: board.isTimerOn,
      keysDown: machine.keysDown(),
      keying: keyingState(machine),
      around: this.#isRunning ? [] : codeAround(machine.memory, machine.registers().pc, this.#nameAt),
      there: bytesThere(machine),
      memoryFrom: this.#lookFrom,
      memory: lookAt(machine.memory, this.#lookFrom),
    }
    machine.forgetOlderThan(rememberedSeconds * profile.clockHz)
    this.#options.post({ kind: 'frame', frame })
  }

  #see(machine: Machine): readonly SeenDigit[] {
    const now = this.#options.now()
    if (!this.#isRunning || now - this.#seenAt >= eyeMilliseconds) {
      this.#seen = machine.digitsNow().map(({ segments, glyph, state }) => ({ segments, glyph, state }))
      this.#seenAt = now
    }
    return this.#seen
  }
}

/** The bytes at which the registers point, by address. */
function bytesThere(machine: Machine): ReadonlyMap<number, number> {
  const { bc, de, hl, ix, iy, sp, pc } = machine.registers()
  return new Map([bc, de, hl, ix, iy, sp, pc].map((address) => [address, machine.memory[address] ?? 0]))
}

function keyingState({ memory, profile }: Machine): number | null {
  const { keying } = profile.firmware
  return keying === undefined ? null : (memory[keying.stateAt] ?? 0)
}

function lookAt(memory: Uint8Array, from: number): Uint8Array<ArrayBuffer> {
  return Uint8Array.from({ length: lookLength }, (_, i) => memory[(from + i) & 0xffff] ?? 0)
}

function readOptions(board: BoardProfile): ReadOptions {
  const routines = board.firmware.routines.map(({ name, address }) => [name, address] as const)
  return {
    origin: board.layout.program,
    symbols: Object.fromEntries(routines),
    allowed: board.memory.filter(({ kind }) => kind === 'ram').map(({ from, to }) => ({ from, to })),
  }
}

function namesOf(firmware: Readonly<Record<string, number>>, program: Program | null): ReadonlyMap<number, string> {
  const labels = (program?.listing ?? []).flatMap(({ label, address }) =>
    label === null || address === null ? [] : [[address, label] as const],
  )
  return new Map([...Object.entries(firmware).map(([name, address]) => [address, name] as const), ...labels])
}
