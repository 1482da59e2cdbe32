import type { Program, ReadOptions } from '../../../core/assembler/index.ts'
import { type BoardProfile, type SpeakerMeasure, measureSpeaker } from '../../../core/board/index.ts'
import { disassembleAt } from '../../../core/disassembler/index.ts'
import { showWord } from '../../../core/image/index.ts'
import type { Recording, RunRequest, TraceStep } from '../../../core/run/index.ts'
import type { DigitLook, Lane } from '../model/lane.ts'
import type { Moment } from '../model/moment.ts'
import type { Places } from '../model/places.ts'
import { type Runs, valueAt } from '../model/runs.ts'
import type { Span } from '../model/span.ts'
import { stackWords } from '../model/stack.ts'
import { codeAround } from '../../machine/code-around.ts'
import { digitLanes, interruptLane, keyLane, speakerLane } from './event-lanes.ts'
import type { Prepared } from './prepare.ts'
import type { TraceSubject } from './protocol.ts'
import { lampLane, segmentLane, selectLane, switchLane } from './port-lanes.ts'

const dark: DigitLook = { segments: 0, glyph: ' ', state: 'dark' }
/** Words of stack that the page shows. */
const stackShown = 24

/** One recorded run with what is looked up in it again and again. */
export class Opened {
  readonly recording: Recording
  /** What the recording is of. */
  readonly request: RunRequest
  readonly subject: TraceSubject
  readonly program: Program
  /** How its text was read. */
  readonly options: ReadOptions
  readonly board: BoardProfile
  readonly places: Places
  readonly digits: readonly Lane[]
  readonly speaker: Lane & { readonly kind: 'speaker' }
  readonly keys: Lane & { readonly kind: 'keys' }
  /** Everything that is drawn from events alone. */
  readonly lanes: readonly Lane[]
  /** SP before the first instruction. */
  readonly stackTop: number
  /** Lines of the program by the address of their instruction. */
  readonly #lines: ReadonlyMap<number, number>
  readonly #labels: ReadonlyMap<number, string>

  constructor(recording: Recording, { request, program, options }: Prepared, subject: TraceSubject, places: Places) {
    const { board } = subject
    const end = recording.result.tStates
    this.recording = recording
    this.request = request
    this.subject = subject
    this.program = program
    this.options = options
    this.board = board
    this.places = places
    this.digits = digitLanes(recording.digits, board.display.digits, end)
    this.speaker = speakerLane(recording.events, board, end)
    this.keys = keyLane(recording.events, end)
    const { events } = recording
    const lamps = lampLane(events, board, end)
    const switches = switchLane(events, board, end, request.given.switches)
    this.lanes = [
      ...[...this.digits, this.speaker, this.keys, interruptLane(events), selectLane(events, board, end)],
      ...[
        segmentLane(events, board, end),
        ...(lamps === null ? [] : [lamps]),
        ...(switches === null ? [] : [switches]),
      ],
    ]
    this.stackTop = recording.at(0).registers.sp
    this.#labels = new Map([
      ...Object.entries(board.firmware.labels).map(([name, address]) => [address, name] as const),
      ...program.listing.flatMap(({ label, address }) =>
        label === null || address === null ? [] : [[address, label] as const],
      ),
    ])
    this.#lines = new Map(
      program.listing.flatMap(({ kind, address, line }) =>
        kind === 'instruction' && address !== null ? [[address, line] as const] : [],
      ),
    )
  }

  measure(span: Span): SpeakerMeasure {
    return measureSpeaker(this.recording.events, this.board, span)
  }

  /** Visits each instruction from step `from` to `to` (excluded) with its T-state, PC and SP. */
  walk(from: number, to: number, visit: (t: number, pc: number, sp: number) => void): void {
    this.recording.walk(from, to, (_step, t, pc, sp) => visit(t, pc, sp))
  }

  momentAt(step: number): Moment {
    const { recording } = this
    const { steps } = recording.result
    const clamped = Math.min(Math.max(0, step), steps)
    const { t, registers, memory, outputs } = recording.at(clamped)
    const [first, second] = recording.steps(Math.max(0, clamped - 1), Math.min(steps, clamped + 1))
    const last = clamped === 0 ? null : (first ?? null)
    const next = (clamped === 0 ? first : second) ?? null
    const isListed = this.#lines.has(registers.pc)
    return {
      step: clamped,
      t,
      registers,
      memory: Uint8Array.from(memory),
      last,
      lastText:
        last === null ? null : `${this.textOf(last)}${last.kind === 'instruction' ? ` at ${showWord(last.pc)}` : ''}`,
      next,
      place: this.places.nameAt(registers.pc),
      around: isListed ? [] : codeAround(memory, registers.pc, (address) => this.labelAt(address)),
      stackBytes: ((this.stackTop - registers.sp) << 16) >> 16,
      stack: stackWords(memory, registers.sp, this.stackTop, (address) => this.places.nameAt(address), stackShown),
      digits: this.digits.map((lane) => lookAt(lane, t)),
      isSpeakerHigh: heldAt(this.speaker.runs, t) === 1,
      switches: outputs.switches,
      keysDown: (this.keys.names[heldAt(this.keys.runs, t)] ?? '').split(' and ').filter((name) => name !== ''),
    }
  }

  /** `line 12`, or `PAINT + 3` where the program has no line. */
  whereIs(address: number): string {
    const line = this.#lines.get(address)
    return line === undefined ? this.places.nameAt(address) : `line ${line}`
  }

  /** The instruction that stands at an address at the end of the run. */
  textAt(address: number): string {
    const { memory } = this.recording.result
    return this.#disassemble((at) => memory[at & 0xffff] ?? 0, address)
  }

  textOf(step: TraceStep): string {
    if (step.kind === 'interrupt') return 'an interrupt was taken'
    if (step.kind === 'halted') return 'waiting in HALT'
    const read = (address: number) => step.bytes[(address - step.pc) & 0xffff] ?? 0
    return this.#disassemble(read, step.pc)
  }

  #disassemble(read: (address: number) => number, address: number): string {
    return disassembleAt(read, address, (target, use) => (use === 'number' ? null : this.labelAt(target))).text
  }

  labelAt(address: number): string | null {
    return this.#labels.get(address) ?? null
  }
}

/** At the end of the run the last value still stands. */
function heldAt(runs: Runs, t: number): number {
  return valueAt(runs, Math.min(t, runs.end - 1)) ?? 0
}

function lookAt(lane: Lane, t: number): DigitLook {
  return lane.kind === 'digit' ? (lane.looks[heldAt(lane.runs, t)] ?? dark) : dark
}
