import type { Program } from '../../assembler/index.ts'
import { eventCode, segmentsOf, type BoardProfile } from '../../board/index.ts'
import type { Addr } from '../../cpu/index.ts'
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
import type { CheckResult } from '../../grading/index.ts'
import { record, registersAtStart, run, type Recording, type RunRequest, type RunResult } from '../../run/index.ts'
import { lastPortWrite, whyValue } from './why-value.ts'
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
  /** The step after the one in which the check was decided. */
  readonly step: number
  readonly at: Addr
}

type Answer = (asked: Asked) => readonly Omit<Extract<CheckQuestion, { target: WhyTarget }>, 'caseId'>[]

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
    const { fields, recording, model, profile } = asked
    const want = fields['want'] as readonly { at: Addr; bytes: readonly number[] | 'model'; length: number }[]
    const wrong = want.flatMap(({ at, bytes, length }) => {
      const wanted = bytes === 'model' ? (model()?.memory.subarray(at, at + length) ?? []) : bytes
      return bytesWrong(recording, at, [...wanted])
    })
    void profile
    return wrong.length > 0 ? wrong.slice(0, mostValues) : anything(asked)
  },
  'digit-buffer': ({ fields, recording, profile }) => {
    const glyphs = fields['glyphs'] as string | null
    const bytes = fields['bytes'] as readonly number[] | null
    const wanted = bytes ?? Array.from(glyphs ?? '', (glyph) => segmentsOf(glyph) ?? 0)
    return bytesWrong(recording, profile.layout.digitBuffer, wanted).slice(0, mostValues)
  },
  'digits-seen': (asked) => {
    const { profile, recording, step } = asked
    const { segmentPort, selectPort } = profile.display
    const t = recording.at(step).t
    const shown = lastPortWrite(recording, segmentPort, t)
    if (shown === null) return [...theEnd(asked), { step: recording.result.steps, target: port(segmentPort) }]
    const before = lastPortWrite(recording, selectPort, shown.t)
    const from = before === null ? 0 : recording.stepAt(before.t)
    const at = recording.stepAt(shown.t) + 1
    return [
      { step: at, target: port(segmentPort) },
      { step: at, target: { kind: 'time', from } },
      ...theTime(asked),
      ...theEnd(asked),
    ]
  },
  speaker: (asked) => {
    const { profile, recording, fields, step } = asked
    const edges = edgeTimes(recording)
    const t = recording.at(step).t
    const last = edges.findLastIndex((each) => each < t)
    if (last < 0) return [...theEnd(asked), { step: recording.result.steps, target: port(profile.speaker.port) }]
    const from = recording.stepAt(edges[Math.max(0, last - 1)] ?? 0)
    const to = recording.stepAt(edges[last] ?? 0) + 1
    const wave: ReturnType<Answer> = [
      { step: to, target: { kind: 'time', from } },
      { step: to, target: port(profile.speaker.port) },
    ]
    const isOfShape = ['frequency', 'duty', 'maxJitter'].some((field) => fields[field] !== null)
    return isOfShape ? [...wave, ...theEnd(asked)] : [...theEnd(asked), ...theTime(asked), ...wave]
  },
  't-states': theTime,
  size: () => [],
  'program-bytes': () => [],
  'run-end': theEnd,
  'stack-balance': (asked) => [
    { step: asked.recording.result.steps, target: { kind: 'register', register: 'sp' } },
    ...anything(asked),
  ],
  'required-instruction': theTime,
  'calls-routine': theEnd,
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

function bytesWrong({ result }: Recording, at: Addr, wanted: readonly number[]): ReturnType<Answer> {
  return wanted.flatMap((value, i) =>
    result.memory[at + i] === value
      ? []
      : [{ step: result.steps, target: { kind: 'memory', address: (at + i) & 0xffff } as const }],
  )
}

function edgeTimes({ events }: Recording): readonly number[] {
  const times: number[] = []
  for (let i = 0; i < events.length; i++) if (events.codeAt(i) === eventCode.speakerEdge) times.push(events.timeAt(i))
  return times
}
