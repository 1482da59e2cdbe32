import type { Program } from '../../assembler/index.ts'
import {
  eventCode,
  isDisplayDark,
  measureDisplay,
  notesOf,
  speakerEdges,
  type BoardProfile,
  type Note,
} from '../../board/index.ts'
import type { Addr, Registers, TState } from '../../cpu/index.ts'
import { runRequestFor, type CaseInstance, type Exercise } from '../../exercise/index.ts'
import { memoryAtStart, record, registersAtStart, type Recording, type RunRequest } from '../../run/index.ts'
import { flowFrom } from '../slice/history.ts'
import { awaitedInputs, inputPorts, type AwaitedInput } from './awaited-inputs.ts'
import { walkOver } from './run-walk.ts'
import { signsSeen, type SeenSign } from './signs.ts'

/** Everything that the model answer did on one run and that a check could ask for. */
export interface ModelBehaviour {
  readonly instance: CaseInstance
  readonly recording: Recording
  readonly request: RunRequest
  readonly before: { readonly memory: Uint8Array; readonly registers: Registers }
  readonly tStates: TState
  readonly stackDepth: number
  /** Bytes that the program itself wrote, outside the stack; firmware's own variables are in `byFirmware`. */
  readonly written: ReadonlySet<Addr>
  readonly byFirmware: ReadonlySet<Addr>
  /** Registers that it set at some time, as bits of `registerParts`. */
  readonly partsSet: number
  /** Mnemonics that were executed, and addresses of firmware that it came to. */
  readonly mnemonics: ReadonlySet<string>
  readonly entered: ReadonlySet<Addr>
  readonly signs: readonly SeenSign[]
  readonly isDarkAtEnd: boolean
  /** Over the time of the signs; null where nothing was seen. */
  readonly display: { readonly refreshHz: number | null; readonly ghost: number; readonly spread: number } | null
  /** A single click is none. */
  readonly notes: readonly Note[]
  readonly endLevel: 0 | 1
  /** Values written to other ports, in turn, repetitions left out. */
  readonly ports: ReadonlyMap<number, readonly number[]>
  readonly interrupts: { readonly accepted: number; readonly lost: number }
  readonly awaited: readonly AwaitedInput[]
}

/** Runs the model answer on one case and looks at everything. */
export function behaviourOnCase(
  exercise: Exercise,
  profile: BoardProfile,
  program: Program,
  instance: CaseInstance,
  seed: number,
): ModelBehaviour {
  const request = { ...runRequestFor(exercise, profile, program, instance.id, seed), isWatchingWrites: true }
  const recording = record(request)
  const { result, events } = recording
  const memory = memoryAtStart(request)
  const registers = registersAtStart(request)
  const base = registers.sp
  const lowest = Math.min(base, result.lowestSp ?? base)
  const isRom = (address: Addr): boolean =>
    profile.memory.some(({ kind, from, to }) => kind === 'rom' && address >= from && address <= to)
  const walk = walkOver(recording, request, inputPorts(profile))
  const { seen } = walk
  // A driver of the instructor, which calls the program, is none of its own instructions.
  const isOwn = (address: Addr): boolean =>
    program.image.segments.some(({ start, bytes }) => address >= start && address < start + bytes.length)
  const own = [...seen].filter(isOwn)
  const flows = own.map((pc) => flowFrom((address) => memory[address & 0xffff] ?? 0, pc))
  const signs = signsSeen(recording.digits, profile)
  const edges = speakerEdges(events)
  return {
    instance,
    recording,
    request,
    before: { memory, registers },
    tStates: result.tStates,
    stackDepth: base - lowest,
    ...writesIn(recording, isOwn, lowest, base),
    partsSet: flows.reduce((parts, { writes }) => parts | writes, 0),
    mnemonics: new Set(flows.map(({ text }) => text.split(' ')[0] ?? '')),
    entered: new Set([...seen].filter(isRom)),
    signs,
    isDarkAtEnd: isDisplayDark(events, profile, result.tStates),
    display: displayOf(recording, profile, signs),
    notes: notesOf(edges, profile).filter((note) => note.edges > 1),
    endLevel: edges.t.length === 0 || (edges.firstLevel + edges.t.length - 1) % 2 === 0 ? 0 : 1,
    ports: portsIn(recording, profile),
    interrupts: interruptsIn(recording),
    awaited: awaitedInputs(recording, request, walk),
  }
}

function writesIn(
  { events }: Recording,
  isOwn: (address: Addr) => boolean,
  lowest: Addr,
  top: Addr,
): Pick<ModelBehaviour, 'written' | 'byFirmware'> {
  const written = new Set<Addr>()
  const byFirmware = new Set<Addr>()
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) !== eventCode.memoryWrite) continue
    const address = events.whereAt(i)
    if (address >= lowest && address < top) continue
    const writers = isOwn(events.pcAt(i)) ? written : byFirmware
    writers.add(address)
  }
  return { written, byFirmware }
}

function displayOf(
  { events }: Recording,
  profile: BoardProfile,
  signs: readonly SeenSign[],
): ModelBehaviour['display'] {
  const [first, last] = [signs[0], signs.at(-1)]
  if (first === undefined || last === undefined) return null
  const { refreshHz, brightnessSpread, digits } = measureDisplay(events, profile, first.from, last.to)
  return {
    refreshHz,
    spread: (brightnessSpread ?? 0) * 100,
    ghost: Math.max(0, ...digits.map(({ ghost }) => ghost)) * 100,
  }
}

function portsIn({ events }: Recording, profile: BoardProfile): ModelBehaviour['ports'] {
  const { display, speaker } = profile
  const known = [display.segmentPort, display.selectPort, speaker.port]
  const ports = new Map<number, number[]>()
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) !== eventCode.portWrite || known.includes(events.whereAt(i))) continue
    const values = ports.get(events.whereAt(i)) ?? []
    if (values.at(-1) !== events.valueAt(i)) values.push(events.valueAt(i))
    ports.set(events.whereAt(i), values)
  }
  return ports
}

function interruptsIn({ events }: Recording): ModelBehaviour['interrupts'] {
  let accepted = 0
  let lost = 0
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) === eventCode.interrupt) accepted += 1
    if (events.codeAt(i) === eventCode.interruptLost) lost += 1
  }
  return { accepted, lost }
}
