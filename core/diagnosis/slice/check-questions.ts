import type { Program } from '../../assembler/index.ts'
import { eventCode, isDisplayDark, measureDisplay, segmentsOf, type BoardProfile } from '../../board/index.ts'
import type { Addr, TState } from '../../cpu/index.ts'
import {
  caseInstances,
  checkFields,
  exerciseFor,
  modelProgram,
  registerValue,
  runRequestFor,
  type Exercise,
  type RegisterName,
} from '../../exercise/index.ts'
import { disassembleAt, type DisassembledInstruction } from '../../disassembler/index.ts'
import type { CheckResult } from '../../grading/index.ts'
import {
  memoryAtStart,
  record,
  registersAtStart,
  run,
  type Recording,
  type RunRequest,
  type RunResult,
} from '../../run/index.ts'
import { signsSeen } from '../proposal/signs.ts'
import { lastPortWrite } from './port-write.ts'
import { whyValue } from './why-value.ts'
import { whyNever } from './why-never.ts'
import { flagNames, type FlagName, type Why, type WhyNever, type WhyTarget } from './why.ts'

/** A question that a failing check raises about one run: to be put to `whyValue`, or to `whyNever`. */
export type CheckQuestion =
  | { readonly caseId: string; readonly step: number; readonly target: WhyTarget }
  | { readonly caseId: string; readonly never: Addr }

/** What a check was decided on. */
export interface CheckContext {
  readonly exercise: Exercise
  readonly profile: BoardProfile
  readonly program: Program
  readonly seed: number
}

/** A question with its answer and the run it is about. */
export interface CheckAnswer {
  readonly question: CheckQuestion
  readonly why: Why | WhyNever
}

interface Asked {
  readonly fields: Readonly<Record<string, unknown>>
  readonly recording: Recording
  readonly request: RunRequest
  readonly profile: BoardProfile
  readonly program: Program
  readonly model: () => RunResult | null
  readonly outcome: CheckResult['outcome']
  /** The step after the one in which the check was decided. */
  readonly step: number
  readonly at: Addr
}

/** A question about the run that the check was decided on. */
type Question = { readonly step: number; readonly target: WhyTarget } | { readonly never: Addr }
type Answer = (asked: Asked) => readonly Question[]

/** Most values asked for that a single check finds wrong. */
const mostValues = 4

/**
 * What to ask about a check that failed, the most telling question first: the byte, register or flag that is wrong, the
 * port write that was seen, where the time went, or why the run ended as it did. None for a check that looks at the
 * program alone (size, bytes handed in): there the check itself names the place.
 */
export function whyCheck(check: CheckResult, context: CheckContext): readonly CheckQuestion[] {
  return questionsOf(check, context)?.questions ?? []
}

/** The questions of a failing check with their answers: whichever was asked for, by its place. Null where there is none. */
export function whyFailed(check: CheckResult, context: CheckContext, which = 0): CheckAnswer | null {
  const found = questionsOf(check, context)
  const question = found?.questions[which]
  if (found === null || question === undefined) return null
  const { recording, request } = found
  const why =
    'never' in question
      ? whyNever(recording, request, question.never)
      : whyValue(recording, request, question.target, question.step)
  return { question, why }
}

function questionsOf(
  check: CheckResult,
  { exercise, profile, program, seed }: CheckContext,
): {
  readonly questions: readonly CheckQuestion[]
  readonly recording: Recording
  readonly request: RunRequest
} | null {
  const own = exerciseFor(exercise, seed)
  const { decidedAt } = check
  const written = own.checks.find(({ id }) => id === check.id)
  const instance = caseInstances(own).find(({ id }) => id === decidedAt?.caseId)
  if (decidedAt === null || written === undefined || instance === undefined) return null
  const fields = checkFields(own, written, instance.of.id)
  if (fields === null || check.outcome === 'passed') return null
  const { caseId } = decidedAt
  const request = runRequestFor(own, profile, program, caseId, seed)
  const recording = record(request)
  const answer = modelProgram(own, profile)
  const asked: Asked = {
    fields,
    recording,
    request,
    profile,
    program,
    model: () => (answer === null ? null : run(runRequestFor(own, profile, answer, caseId, seed))),
    outcome: check.outcome,
    step: Math.min(recording.result.steps, decidedAt.step + 1),
    at: decidedAt.address,
  }
  const { kind } = recording.result.end
  const isUnfinished = kind !== 'halted' && kind !== 'returned'
  const questions = isUnfinished
    ? [...theEnd(asked), ...(kinds[check.kind] ?? anything)(asked)]
    : (kinds[check.kind] ?? anything)(asked)
  return { questions: questions.map((each) => ({ caseId, ...each })), recording, request }
}

const theEnd: Answer = ({ recording }) => [{ step: recording.result.steps, target: { kind: 'end' } }]
const theTime: Answer = ({ recording }) => [{ step: recording.result.steps, target: { kind: 'time', from: 0 } }]
/** Why the run came to the instruction at which the check was decided. */
const theStep: Answer = ({ step }) => [{ step, target: { kind: 'end' } }]

/** What the decisive instruction did: wrote to memory or to a port; else why the run came there. */
const anything: Answer = (asked) => {
  const { recording, step } = asked
  const [at] = recording.steps(step - 1, step)
  if (at === undefined) return theEnd(asked)
  const written = at.memoryWrites.map(({ address }) => ({ step, target: { kind: 'memory', address } as const }))
  const port = lastPortWrite(recording, null, at.t + at.tStates + 1)
  const isPort = port !== null && port.t >= at.t
  const wrote = isPort ? [{ step, target: { kind: 'port-write', port: port.port } as const }] : []
  return [...wrote, ...written, ...theStep(asked)]
}

const kinds: Readonly<Record<string, Answer>> = {
  registers: (asked) => {
    const want = asked.fields['want'] as Readonly<Partial<Record<RegisterName, number | 'model'>>>
    return registersWrong(asked, namesOf(want), (register) => {
      const value = want[register]
      return value === 'model'
        ? registerValue(asked.model()?.registers ?? asked.recording.result.registers, register)
        : value
    })
  },
  'registers-kept': (asked) => {
    const before = registersAtStart(asked.request)
    return registersWrong(asked, asked.fields['registers'] as readonly RegisterName[], (register) =>
      registerValue(before, register),
    )
  },
  flags: (asked) => {
    const { recording, fields, model } = asked
    const want = fields['want'] as Readonly<Partial<Record<FlagName, number | 'model'>>>
    const bitOf = (af: number, flag: FlagName): number => (af >> flagNames.indexOf(flag)) & 1
    return flagNames
      .filter((flag) => {
        const value = want[flag]
        if (value === undefined) return false
        const wanted = value === 'model' ? bitOf(model()?.registers.af ?? 0, flag) : value
        return bitOf(recording.result.registers.af, flag) !== wanted
      })
      .map((flag) => ({ step: recording.result.steps, target: { kind: 'flag', flag } }))
  },
  memory: (asked) => {
    const { fields, recording, model } = asked
    const want = fields['want'] as readonly { at: Addr; bytes: readonly number[] | 'model'; length: number }[]
    const blocks = want.map(({ at, bytes, length }) => {
      const wanted = bytes === 'model' ? (model()?.memory.subarray(at, at + length) ?? []) : bytes
      return Array.from(wanted, (value, i) => ({ address: (at + i) & 0xffff, value }))
    })
    const wrong = blocks.map((block) => bytesWrong(recording, block)).filter((questions) => questions.length > 0)
    if (wrong.length === 0) return changedElsewhere(asked, want)
    // A block of a few bytes is one number: the high byte may be wrong for what happened to the low one.
    const short = blocks.find((block) => block.length <= mostValues && bytesWrong(recording, block).length > 0)
    return short === undefined ? wrong.flat() : [wholeBlock(recording, short), ...wrong.flat()]
  },
  'digit-buffer': ({ fields, recording, profile }) => {
    const glyphs = fields['glyphs'] as string | null
    const bytes = fields['bytes'] as readonly number[] | null
    const wanted = bytes ?? Array.from(glyphs ?? '', (glyph) => segmentsOf(glyph) ?? 0)
    const at = profile.layout.digitBuffer
    return bytesWrong(
      recording,
      wanted.map((value, i) => ({ address: at + i, value })),
    )
  },
  'digits-seen': digitQuestions,
  'signs-in-turn': signQuestions,
  'shown-after-key': signQuestions,
  handler: handlerQuestions,
  drift: ({ fields, recording }) => [
    { step: recording.result.steps, target: { kind: 'memory', address: fields['address'] as Addr } },
  ],
  'memory-after-key': ({ fields, recording }) => [
    { step: recording.result.steps, target: { kind: 'memory', address: fields['at'] as Addr } },
  ],
  speaker: soundQuestions,
  'tones-in-turn': toneQuestions,
  't-states': theTime,
  size: () => [],
  'program-bytes': () => [],
  'run-end': theEnd,
  'stack-balance': (asked) => [
    { step: asked.recording.result.steps, target: { kind: 'register', register: 'sp' } },
    ...anything(asked),
  ],
  'required-instruction': (asked) => {
    const named = [...((asked.fields['any'] ?? []) as string[]), ...((asked.fields['all'] ?? []) as string[])]
    return [
      ...neverRan(asked, ({ instruction }) => named.some((each) => isOf(instruction.text, each))),
      ...theTime(asked),
    ]
  },
  'calls-routine': (asked) => {
    const routine = asked.profile.firmware.routines.find(
      ({ name }) => name === String(asked.fields['routine']).toUpperCase(),
    )
    return [...neverRan(asked, ({ refersTo }) => refersTo?.address === routine?.address), ...theEnd(asked)]
  },
}

/** What the digits showed: the pattern that was wrong, the one missing, where the time went, or what was left lit. */
function digitQuestions(asked: Asked): ReturnType<Answer> {
  const { profile, recording, fields, outcome } = asked
  const { segmentPort, isSegmentActiveHigh } = profile.display
  const { steps, tStates } = recording.result
  const pattern = { step: steps, target: port(segmentPort) }
  if (lastPortWrite(recording, segmentPort, tStates + 1) === null) return [pattern, ...theEnd(asked)]
  if (fields['darkAtEnd'] === true && !isDisplayDark(recording.events, profile, tStates)) {
    return [pattern, ...theEnd(asked)]
  }
  const from = timeOf(fields['from'], profile.clockHz) ?? 0
  const to = timeOf(fields['to'], profile.clockHz) ?? tStates
  if (outcome === 'out-of-tolerance') {
    const most = fields['maxGhost'] as number | null
    const ghosts = measureDisplay(recording.events, profile, from, to).digits.map(({ ghost }) => ghost * 100)
    const isGhosted = most !== null && ghosts.some((ghost) => ghost > most)
    return isGhosted ? [pattern, ...theTime(asked)] : [...theTime(asked), pattern]
  }
  const glyphs = Array.from(fields['glyphs'] as string, (glyph) => segmentsOf(glyph) ?? 0)
  const spans = recording.digits.filter((span) => span.digit < glyphs.length && span.to > from && span.from < to)
  const wrong = spans
    .filter(({ digit, segments }) => segments !== 0 && segments !== glyphs[digit])
    .toSorted((a, b) => a.from - b.from)[0]
  if (wrong !== undefined) {
    const dark = isSegmentActiveHigh ? 0 : 0xff
    const shown = lastPortWrite(recording, segmentPort, Math.max(wrong.from, from) + 1, dark)
    const at = shown === null ? steps : recording.stepAt(shown.t) + 1
    return [{ step: at, target: port(segmentPort) }, ...theTime(asked), ...theEnd(asked)]
  }
  const missing = glyphs.findIndex(
    (segments, digit) => segments !== 0 && !spans.some((span) => span.digit === digit && span.segments === segments),
  )
  if (missing < 0) return [...theTime(asked), pattern, ...theEnd(asked)]
  const address = profile.layout.digitBuffer + missing
  const at = recording.stepAt(Math.max(from, Math.min(to, tStates) - 1))
  return [{ step: at, target: { kind: 'memory', address } }, pattern, ...theEnd(asked)]
}

/** The wave at the place where it was decided, or where the time of the whole went. */
function soundQuestions(asked: Asked): ReturnType<Answer> {
  const { profile, recording, fields, step } = asked
  const edges = edgeTimes(recording)
  const t = recording.at(step).t
  const last = edges.findLastIndex((each) => each < t)
  if (last < 0) return [{ step: recording.result.steps, target: port(profile.speaker.port) }, ...theEnd(asked)]
  const from = recording.stepAt(edges[Math.max(0, last - 1)] ?? 0)
  const to = recording.stepAt(edges[last] ?? 0) + 1
  const wave: ReturnType<Answer> = [
    { step: to, target: { kind: 'time', from } },
    { step: to, target: port(profile.speaker.port) },
  ]
  const shape = ['frequency', 'frequencies', 'duty', 'maxJitter']
  const isOfShape = shape.some((field) => (fields[field] ?? null) !== null)
  return isOfShape ? [...wave, ...theEnd(asked)] : [...theTime(asked), ...wave, ...theEnd(asked)]
}

/** What moved the cone last, and where the time of the tone went. */
function toneQuestions(asked: Asked): ReturnType<Answer> {
  const { profile, recording, step } = asked
  const edges = edgeTimes(recording)
  const t = recording.at(step).t
  const last = edges.findLastIndex((each) => each < t)
  if (last < 0) return [{ step: recording.result.steps, target: port(profile.speaker.port) }, ...theEnd(asked)]
  const from = recording.stepAt(edges[Math.max(0, last - edgesOfTone)] ?? 0)
  return [
    { step: recording.stepAt(edges[last] ?? 0) + 1, target: port(profile.speaker.port) },
    { step: recording.stepAt(edges[last] ?? 0) + 1, target: { kind: 'time', from } },
    ...theEnd(asked),
  ]
}
const edgesOfTone = 32

/** The first digit that was seen with another sign than it should have had, and when; null where none was. */
function wrongDigit({
  fields,
  recording,
  profile,
  request,
}: Asked): { readonly digit: number; readonly t: TState } | null {
  const signs = (fields['signs'] as readonly string[]).map((sign) =>
    Array.from(sign, (glyph) => segmentsOf(glyph) ?? 0),
  )
  const first = (fields['digit'] as number | undefined) ?? 1
  const length = Math.max(0, ...signs.map((sign) => sign.length))
  const own = recording.digits.filter(({ digit }) => digit >= first - 1 && digit < first - 1 + length)
  const from = timeOf(fields['from'], profile.clockHz) ?? 0
  const seen = signsSeen(own, profile).filter((sign) => sign.to > from)
  const keys = request.given.keys.map((key) => key.from).sort((a, b) => a - b)
  const isAfterKeys = fields['within'] !== undefined
  const within = isAfterKeys ? (timeOf(fields['within'], profile.clockHz) ?? 0) : 0
  for (const [i, wanted] of signs.entries()) {
    const pressed = (keys[i] ?? 0) + within
    const found = isAfterKeys ? seen.find(({ to }) => to > pressed) : seen[i]
    if (found === undefined) return null
    const glyphs = Array.from(found.text.slice(first - 1), (glyph) => segmentsOf(glyph) ?? 0)
    const place = wanted.findIndex((segments, k) => segments !== glyphs[k])
    const isFree = isAfterKeys && (fields['signs'] as readonly string[])[i]?.startsWith('*') === true
    if (place >= 0 && !isFree)
      return { digit: first - 1 + place, t: isAfterKeys ? pressed : (found.from + found.to) / 2 }
  }
  return null
}

/** The pattern that stood on the digits when the check was decided. */
function signQuestions(asked: Asked): ReturnType<Answer> {
  const { profile, recording, fields, step, outcome } = asked
  const { segmentPort, isSegmentActiveHigh } = profile.display
  const isTimed =
    outcome === 'out-of-tolerance' || ['each', 'minRefresh'].some((field) => (fields[field] ?? null) !== null)
  const shown = lastPortWrite(recording, segmentPort, recording.at(step).t, isSegmentActiveHigh ? 0 : 0xff)
  if (shown === null) return [{ step: recording.result.steps, target: port(segmentPort) }, ...theEnd(asked)]
  const wrong = wrongDigit(asked)
  const address = profile.layout.digitBuffer + (wrong?.digit ?? 0)
  const at = wrong === null ? step : recording.stepAt(wrong.t)
  const isBuffered = wrong !== null && recording.events.length > 0 && isWritten(recording, address, at)
  const pattern: Question = isBuffered
    ? { step: at, target: { kind: 'memory', address } }
    : { step: recording.stepAt(shown.t) + 1, target: port(segmentPort) }
  return isTimed ? [...theTime(asked), pattern] : [pattern, ...theTime(asked), ...theEnd(asked)]
}

function isWritten(recording: Recording, address: Addr, before: number): boolean {
  return recording.find(before, 'back', { kind: 'memory-write', address }) !== null
}

/** Registers that the interrupt handler did not bring back; else where its time went. */
function handlerQuestions(asked: Asked): ReturnType<Answer> {
  const { recording, step } = asked
  const { events } = recording
  const [last] = recording.steps(step - 1, step)
  if (last === undefined) return theEnd(asked)
  for (let i = events.firstFrom(last.t + last.tStates) - 1; i >= 0; i--) {
    if (events.codeAt(i) !== eventCode.interrupt) continue
    const entry = recording.stepAt(events.timeAt(i))
    const before = recording.at(entry).registers
    const changed = pairNames.filter((pair) => before[pair] !== last.after[pair])
    const registers = changed.map((register) => ({ step, target: { kind: 'register', register } as const }))
    return [...registers, { step, target: { kind: 'time', from: entry } }]
  }
  return theEnd(asked)
}
const pairNames = ['af', 'bc', 'de', 'hl', 'ix', 'iy'] as const

/** T-states of a time as a document has it; null where it has none. */
function timeOf(written: unknown, clockHz: number): number | null {
  const { amount, unit } = (written ?? { amount: null, unit: 'T' }) as { amount: number | null; unit: string }
  if (amount === null) return null
  return amount * ({ T: 1, us: clockHz / 1e6, ms: clockHz / 1e3, s: clockHz }[unit] ?? 1)
}

/** Whether an instruction is the one named, or has the mnemonic. */
function isOf(text: string, name: string): boolean {
  return text === name || text.split(' ')[0] === name
}

/** The first instruction of a sort that stands in the program and never ran. */
function neverRan(
  { recording, program }: Asked,
  isWanted: (found: DisassembledInstruction) => boolean,
): ReturnType<Answer> {
  const memory = recording.at(0).memory
  const addresses = program.listing.flatMap(({ kind, address }) =>
    kind === 'instruction' && address !== null ? [address] : [],
  )
  const never = addresses.find((address) => {
    if (!isWanted(disassembleAt((at) => memory[at & 0xffff] ?? 0, address))) return false
    const ran = recording.find(-1, 'on', { kind: 'pc', address })
    return ran === null || ran >= recording.result.steps
  })
  return never === undefined ? [] : [{ never }]
}

const port = (number: number): WhyTarget => ({ kind: 'port-write', port: number })

function namesOf(want: Readonly<Partial<Record<RegisterName, unknown>>>): readonly RegisterName[] {
  return Object.keys(want) as RegisterName[]
}

function registersWrong(
  { recording }: Asked,
  names: readonly RegisterName[],
  wantedOf: (register: RegisterName) => number | undefined,
): ReturnType<Answer> {
  const { registers, steps } = recording.result
  return names
    .filter((register) => registerValue(registers, register) !== wantedOf(register))
    .slice(0, mostValues)
    .map((register) => ({ step: steps, target: { kind: 'register', register } }))
}

/** One question about all the bytes that are wrong, the first of them first. */
function bytesWrong(
  { result }: Recording,
  wanted: readonly { readonly address: Addr; readonly value: number }[],
): ReturnType<Answer> {
  const wrong = wanted.filter(({ address, value }) => result.memory[address] !== value).map(({ address }) => address)
  const [address, ...others] = wrong
  if (address === undefined) return []
  const more = others.slice(0, mostValues - 1)
  return [{ step: result.steps, target: { kind: 'memory', address, ...(more.length > 0 ? { others: more } : {}) } }]
}

/** One question about all bytes of a block, the first wrong one first. */
function wholeBlock(
  { result }: Recording,
  block: readonly { readonly address: Addr; readonly value: number }[],
): ReturnType<Answer>[number] {
  const isWrong = ({ address, value }: { readonly address: Addr; readonly value: number }): boolean =>
    result.memory[address] !== value
  const addresses = [...block.filter(isWrong), ...block.filter((each) => !isWrong(each))].map(({ address }) => address)
  const [address = 0, ...others] = addresses
  return { step: result.steps, target: { kind: 'memory', address, ...(others.length > 0 ? { others } : {}) } }
}

/** Bytes that the task leaves alone and that are not as they were. */
function changedElsewhere(
  asked: Asked,
  want: readonly { readonly at: Addr; readonly bytes: readonly number[] | 'model'; readonly length: number }[],
): ReturnType<Answer> {
  const { fields, recording, request, profile } = asked
  const top = request.given.registers.sp ?? profile.layout.stackTop
  const spared = [
    ...want.map(({ at, bytes, length }) => ({ from: at, to: at + (bytes === 'model' ? length : bytes.length) - 1 })),
    ...(fields['except'] as readonly { readonly from: Addr; readonly to: Addr }[]),
    { from: top - (fields['stackBytes'] as number), to: top - 1 },
  ]
  const before = memoryAtStart(request)
  const changed = profile.memory
    .filter(({ kind }) => kind === 'ram')
    .flatMap(({ from, to }) => Array.from({ length: to - from + 1 }, (_, i) => from + i))
    .filter((address) => !spared.some(({ from, to }) => address >= from && address <= to))
    .map((address) => ({ address, value: before[address] ?? 0 }))
  const wrong = bytesWrong(recording, changed)
  return wrong.length > 0 ? wrong : anything(asked)
}

function edgeTimes({ events }: Recording): readonly number[] {
  const times: number[] = []
  for (let i = 0; i < events.length; i++) if (events.codeAt(i) === eventCode.speakerEdge) times.push(events.timeAt(i))
  return times
}
