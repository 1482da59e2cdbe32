import { eventCode, type BoardEvent } from '../../board/index.ts'
import type { Addr, Byte, TState } from '../../cpu/index.ts'
import { disassembleAt, namesFrom, type NameOf } from '../../disassembler/index.ts'
import { endText, registerText, registerValue } from '../../exercise/index.ts'
import { showByte, showCount, showWord } from '../../image/index.ts'
import type { Recording, RunRequest } from '../../run/index.ts'
import { flagText, memoryFact, registerFacts } from './facts.ts'
import { FlowGraph } from './flow-graph.ts'
import { History } from './history.ts'
import type { Found, Slice, Start } from './slice.ts'
import { Slicer } from './slicer.ts'
import { lastPortWrite } from './port-write.ts'
import { startOf } from './start.ts'
import { flagNames, type Why, type WhyFact, type WhyPart, type WhySource, type WhyTarget } from './why.ts'

export interface WhyOptions {
  /** Most parts told; 24 unless given. */
  readonly most?: number
}

/** What is known of a recording from questions before: a second one about it costs less. */
export interface Known {
  readonly history: History
  readonly graph: FlowGraph
}
const known = new WeakMap<Recording, Known>()

export function knownOf(recording: Recording, request: RunRequest): Known {
  const before = known.get(recording)
  if (before !== undefined) return before
  const history = new History(recording, request)
  const made = { history, graph: new FlowGraph(history) }
  known.set(recording, made)
  return made
}

/**
 * Why a register, a flag, a byte of memory or a port is what it is before `step` (the end of the run unless given): the
 * instructions that made it, back to where its parts came from, each with the branch it rests on. Firmware is told as
 * the call that led there.
 */
export function whyValue(
  recording: Recording,
  request: RunRequest,
  target: WhyTarget,
  step: number = recording.result.steps,
  { most = 24 }: WhyOptions = {},
): Why {
  const { history, graph } = knownOf(recording, request)
  const at = Math.max(0, Math.min(step, recording.result.steps))
  const start = startOf(target, at, history, graph)
  const slice = new Slicer(history, graph, start).run()
  const parts = partsOf(slice.found, namesOf(request), history)
  const told = parts.filter(({ rank }) => rank <= most)
  const value = valueOf(target, at, recording)
  return {
    target,
    what: whatOf(target),
    value,
    step: at,
    sentence: sentenceOf(target, value, told, history, start),
    parts: told,
    sources: sourcesOf(slice, history),
    isCut: told.length < parts.length,
  }
}

export function namesOf(request: RunRequest): NameOf {
  const { labels, symbols } = request.profile.firmware
  return namesFrom({ ...symbols, ...labels })
}

/** The parts in the order of the run, ranked by how much they are likely to tell. */
export function partsOf(found: readonly Found[], names: NameOf, history: History): readonly WhyPart[] {
  const ranked = found.toSorted((a, b) => weightOf(a) - weightOf(b) || b.step.step - a.step.step)
  const ranks = new Map(ranked.map((each, i) => [each, i + 1]))
  return found
    .toSorted((a, b) => a.step.step - b.step.step)
    .map((each) => partOf(each, ranks.get(each) ?? 0, names, history))
}

/** Near ones first; of two as near the one that puts in a value of its own. */
function weightOf({ depth, read, memoryRead, role }: Found): number {
  const isOrigin = role === 'made' && read === 0 && memoryRead.size === 0
  return depth - (isOrigin ? 1.5 : 0) + (role === 'decided' ? 0.25 : 0)
}

function partOf(found: Found, rank: number, names: NameOf, history: History): WhyPart {
  const { step, pc, role, wrote, read, memoryRead, memoryWritten, after, times, firstStep } = found
  const { text } = disassembleAt((address) => step.bytes[(address - pc) & 0xffff] ?? 0, pc, names)
  const bytesAt = (addresses: ReadonlySet<Addr>, t: TState): readonly WhyFact[] =>
    [...addresses].sort((a, b) => a - b).map((address) => memoryFact(address, history.byteBefore(address, t)))
  return {
    step: step.step,
    t: step.t,
    pc,
    text,
    role,
    read: [...registerFacts(read, step.before), ...bytesAt(memoryRead, step.t)],
    wrote: [...registerFacts(wrote, after.registers), ...bytesAt(memoryWritten, after.t)],
    times,
    firstStep,
    rank,
    isFirmware: history.isRom(pc),
  }
}

function valueOf(target: WhyTarget, step: number, recording: Recording): number | null {
  const { registers, memory, t } = recording.at(step)
  switch (target.kind) {
    case 'register':
      return registerValue(registers, target.register)
    case 'flag':
      return (registers.af >> flagNames.indexOf(target.flag)) & 1
    case 'memory':
      return memory[target.address & 0xffff] ?? 0
    case 'port-write':
      return lastPortWrite(recording, target.port, t)?.value ?? null
    case 'time':
      return t - recording.at(target.from).t
    case 'end':
      return null
  }
}

export function whatOf(target: WhyTarget): string {
  switch (target.kind) {
    case 'register':
      return target.register.toUpperCase().replace('_', "'")
    case 'flag':
      return flagText(target.flag)
    case 'memory':
      return showWord(target.address)
    case 'port-write':
      return target.port === null ? 'the last port write' : `port ${showByte(target.port)}`
    case 'time':
      return 'the time taken'
    case 'end':
      return 'the end of the run'
  }
}

/** What stood there at the start, and what came in by a port. */
function sourcesOf({ givenParts, givenBytes, inputs }: Slice, history: History): readonly WhySource[] {
  const { registers } = history.recording.at(0)
  const given = [
    ...registerFacts(givenParts, registers),
    ...givenBytes
      .toSorted((a, b) => a - b)
      .slice(0, mostSources)
      .map((address) => memoryFact(address, history.memoryAtStart[address] ?? 0)),
  ]
  const read = inputs.slice(0, mostSources).flatMap(({ t, tStates }): WhySource[] => {
    const event = history.recording.events.between(t, t + tStates).find(({ kind }) => kind === 'port-read')
    if (event?.kind !== 'port-read') return []
    const moved = movedBefore(history, event.port, event.t)
    const source = { kind: 'input', what: `port ${showByte(event.port)}`, value: event.value } as const
    return [moved === null ? source : { ...source, moved }]
  })
  return [...given.map(({ what, value }): WhySource => ({ kind: 'given', what, value })), ...read]
}
const mostSources = 16

/** The key or the switches that were moved last before a read of their port. */
function movedBefore(
  { request, recording }: History,
  port: Byte,
  t: TState,
): Extract<BoardEvent, { kind: 'key' | 'switches' }> | null {
  const { keypad, switches } = request.profile
  const codes = [
    ...(port === keypad.rowPort ? [eventCode.key] : []),
    ...(port === switches?.port ? [eventCode.switches] : []),
  ] as readonly number[]
  const { events } = recording
  for (let i = events.firstFrom(t + 1) - 1; codes.length > 0 && i >= 0; i--) {
    const event = codes.includes(events.codeAt(i)) ? events.at(i) : undefined
    if (event?.kind === 'key' || event?.kind === 'switches') return event
  }
  return null
}

/** One or two sentences for a reader: what made it, or that nothing did. */
function sentenceOf(
  target: WhyTarget,
  value: number | null,
  parts: readonly WhyPart[],
  { request, recording }: History,
  start: Start,
): string {
  const what = whatOf(target)
  const nearest = parts.find(({ rank }) => rank === 1)
  const where = nearest === undefined ? '' : `${nearest.text} at ${showWord(nearest.pc)}`
  switch (target.kind) {
    case 'end': {
      const ended = endText(recording.result.end, recording.result.lastPc, request.profile)
      const turn = parts.findLast(({ role }) => role === 'decided')
      return `The run ended so: ${ended}.${turn === undefined ? '' : ` The last thing that decided was ${turn.text} at ${showWord(turn.pc)}.`}`
    }
    case 'time':
      return `These instructions took the most of ${showCount(value ?? 0, 'T-state')}, and these made their counts.`
    case 'port-write':
      if (value === null) return `Nothing was written to ${what}.`
      return `${nearest === undefined ? 'The program' : where} wrote ${showByte(value)} to ${what}.`
    case 'memory':
      if (start.isMissed === true) {
        const near = parts.find(({ wrote }) => wrote.some(({ what: name }) => name.startsWith('(')))
        const miss =
          near === undefined
            ? ''
            : ` The nearest write is that of ${near.text} at ${showWord(near.pc)}, to ${near.wrote.at(-1)?.what ?? ''}.`
        return `Nothing wrote to ${what}: it holds ${showByte(value ?? 0)}, as at the start.${miss}`
      }
      return `${what} holds ${showByte(value ?? 0)}, written by ${writerOf(parts, target) ?? where}.`
    case 'register':
    case 'flag': {
      const told = target.kind === 'flag' ? `${what} is ${value ?? 0}` : registerText(target.register, value ?? 0)
      const isMade = parts.some(({ role, wrote }) => role === 'made' && wrote.length > 0)
      return isMade ? `${told}, made by ${where}.` : `${told}, as at the start: nothing changed it.`
    }
  }
}

function writerOf(parts: readonly WhyPart[], target: { readonly address: Addr }): string | null {
  const part = parts.findLast(({ wrote }) => wrote.some(({ what }) => what === `(${showWord(target.address)})`))
  return part === undefined ? null : `${part.text} at ${showWord(part.pc)}`
}
