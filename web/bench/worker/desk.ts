import { type Program, type ReadOptions, readProgram } from '../../../core/assembler/index.ts'
import { type BoardProfile, bytesOfHex, measureSpeaker, speakerEdges } from '../../../core/board/index.ts'
import type { Registers } from '../../../core/cpu/index.ts'
import { imageSize } from '../../../core/image/index.ts'
import { Machine } from '../../../core/run/index.ts'
// Not through the index: a worker must not pull in components.
import type { SeenDigit } from '../../machine/display-words.ts'
import { codeAround } from '../../machine/code-around.ts'
import { Fingers } from './fingers.ts'
import { Pace } from './pace.ts'
import { type BenchFrame, type BenchReply, type BenchRequest, lookLength } from './protocol.ts'

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
/** A note is measured over the last tenth of a second of board time. */
const listenedSeconds = 0.1

/** The worker's side of the bench: one machine, run in slices between which messages are heard. */
export class BenchDesk {
  readonly #options: BenchOptions
  readonly #pace: Pace
  #machine: Machine | null = null
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
  #fingers = new Fingers({ hold: 0, gap: 0 })

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
    const machine = this.#machine
    if (machine === null) return
    switch (request.kind) {
      case 'load':
        this.#load(machine, request)
        break
      case 'run':
        return this.#run(machine)
      case 'stop':
        this.#halt('asked')
        break
      case 'step':
        this.#step(machine)
        break
      case 'reset':
        machine.reset()
        this.#before = null
        break
      case 'key':
        this.#fingers.move(request.key, request.isDown)
        this.#touch(machine)
        break
      case 'switches':
        machine.setSwitches(request.value)
        break
      case 'timer':
        machine.setTimer(request.isOn)
        break
      case 'registers':
        machine.setRegisters(request.some)
        this.#before = null
        break
      case 'byte':
        machine.memory[request.address & 0xffff] = request.value
        break
      case 'breakpoints':
        machine.setBreakpoints(request.addresses)
        break
      case 'look':
        this.#lookFrom = request.from & 0xffff
        break
    }
    this.#frame(machine)
  }

  #powerOn(board: BoardProfile): void {
    if (this.#machine?.profile.id === board.id) this.#machine.powerOn({ byte: 0 })
    else this.#machine = new Machine(board)
    const ms = board.clockHz / 1000
    this.#fingers = new Fingers({ hold: holdMilliseconds * ms, gap: gapMilliseconds * ms })
    this.#names = namesOf(board.firmware.labels, null)
    this.#isRunning = false
    this.#stopped = null
    this.#before = null
    this.#toldUpTo = 0
    this.#level = 0
    this.#frame(this.#machine)
  }

  /** The program goes into memory and PC to its entry, with RAM and stack as the firmware leaves them for it. */
  #load(machine: Machine, { format, text }: Extract<BenchRequest, { kind: 'load' }>): void {
    const program = readProgram({ format, text }, readOptions(machine.profile))
    if (!program.isOk) return this.#options.post({ kind: 'unreadable', problems: program.problems })
    const { layout, firmware } = machine.profile
    for (const { at, hex } of firmware.ready) machine.memory.set(bytesOfHex(hex), at)
    machine.load(program.image)
    this.#names = namesOf(firmware.labels, program)
    const sp = (layout.stackTop - 2) & 0xffff
    const back = firmware.returnTo ?? 0
    machine.memory[sp] = back & 0xff
    machine.memory[sp + 1] = back >> 8
    machine.setRegisters({ pc: program.entry, sp, isHalted: false })
    this.#halt('asked')
    this.#before = null
    this.#options.post({
      kind: 'loaded',
      listing: program.listing,
      symbols: program.symbols,
      entry: program.entry,
      bytes: imageSize(program.image),
      warnings: program.problems,
    })
  }

  #run(machine: Machine): void {
    if (this.#isRunning) return
    this.#isRunning = true
    this.#stopped = null
    this.#before = null
    this.#pace.start()
    this.#slice(machine)
  }

  #halt(why: BenchFrame['stopped']): void {
    this.#isRunning = false
    this.#stopped = why
  }

  #step(machine: Machine): void {
    this.#halt('step')
    this.#before = machine.registers()
    machine.step()
  }

  #touch(machine: Machine): void {
    for (const { key, isDown } of this.#fingers.due(machine.tStates)) {
      if (isDown) machine.press(key)
      else machine.release(key)
    }
  }

  /** One stretch of running, its frame, and the appointment for the next. */
  #slice(machine: Machine): void {
    if (!this.#isRunning || machine !== this.#machine) return
    try {
      for (const share of this.#pace.shares(machine.profile.clockHz)) {
        const began = machine.tStates
        const stop = machine.runUntil(began + share)
        this.#pace.spent(machine.tStates - began)
        this.#touch(machine)
        if (stop === 'limit') continue
        this.#halt('breakpoint')
        break
      }
    } catch (error) {
      this.#halt('asked')
      this.#options.post({ kind: 'fault', message: error instanceof Error ? error.message : String(error) })
    }
    this.#frame(machine)
    if (this.#isRunning) this.#options.later(framePause, () => this.#slice(machine))
  }

  #frame(machine: Machine): void {
    const { board, profile } = machine
    const from = this.#toldUpTo
    const to = machine.tStates
    const { t: edges } = speakerEdges(machine.events, { from, to })
    const levelBefore = this.#level
    if (edges.length % 2 === 1) this.#level = this.#level === 1 ? 0 : 1
    this.#toldUpTo = to
    const heard = { from: Math.max(0, to - listenedSeconds * profile.clockHz), to }
    const frame: BenchFrame = {
      t: to,
      steps: machine.steps,
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
      switches: board.switches,
      isTimerOn: board.isTimerOn,
      keysDown: machine.keysDown(),
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
