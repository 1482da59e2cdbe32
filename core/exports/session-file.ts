import { bytesOfHex, problem, problemsBySchema, type BoardProfile, type DocumentProblem } from '../board/index.ts'
import type { Program } from '../assembler/index.ts'
import type { Addr, Byte } from '../cpu/index.ts'
import { byteDigits } from '../image/index.ts'
import type { Input, RunRequest, TapedInput } from '../run/index.ts'
import { sessionFormat, type Session, type SessionStart } from './session.ts'
import { inputKinds, sessionSchema } from './session-schema.ts'

/** A session that can be opened, or everything that is wrong with its file. */
export type SessionReading = { readonly session: Session } | { readonly problems: readonly DocumentProblem[] }

/** Longer than any session of a class; nothing of a longer text is read. */
const mostCharacters = 20_000_000

/** A session as the text of its file: JSON, bytes as hexadecimal text, names in a fixed order. */
export function writeSession(session: Session): string {
  const { title, board, program, start, exercise, tape, notes, position } = session
  const file = {
    format: sessionFormat,
    title,
    board,
    program: {
      ...{ format: program.format, text: program.text },
      ...(program.origin === undefined ? {} : { origin: program.origin }),
      ...(program.symbols === undefined ? {} : { symbols: program.symbols }),
    },
    start: start === null ? null : startToFile(start),
    exercise,
    tape: tape === null ? null : { fill: tape.fill, inputs: tape.inputs.map(inputToFile), until: tape.until },
    notes: notes.map(({ from, to, by, text }) => ({ from, to, by, text })),
    position: { step: position.step, from: position.from, to: position.to },
  }
  return `${JSON.stringify(file, null, 1)}\n`
}

/** Name by name: whoever hands over more than a start has, such as all that is given to a run, still writes a file that can be read. */
function startToFile(start: SessionStart) {
  const { entry, ends, registers, memory, keys, switches, switchMoves = [], fill, isTimerOn, timerPhase = 0 } = start
  const { mayExecute = [], budget } = start
  return {
    ...{ entry, ends, registers, keys, switches },
    memory: memory.map(({ at, bytes }) => ({ at, hex: hexOf(bytes) })),
    ...(switchMoves.length === 0 ? {} : { switchMoves }),
    ...{ fill, isTimerOn },
    ...(timerPhase === 0 ? {} : { timerPhase }),
    ...(mayExecute.length === 0 ? {} : { mayExecute }),
    budget,
  }
}

/** Reads the text of a session's file. Never throws for what stands in it. */
export function readSession(text: string): SessionReading {
  if (text.length > mostCharacters)
    return { problems: [problem([], 'too-long', text.length, `up to ${mostCharacters} characters`)] }
  let json: unknown
  try {
    json = JSON.parse(text.replace(/^\uFEFF/, ''))
  } catch {
    return {
      problems: [
        problem(
          [],
          'not-json',
          text.trim().slice(0, 40),
          'a session file, which is JSON from its first { to its last }',
        ),
      ],
    }
  }
  const other = otherFormat(json)
  if (other !== null) return { problems: [other] }
  const bySchema = problemsBySchema(json, sessionSchema)
  if (bySchema.length > 0) return { problems: bySchema }
  const file = json as SessionFile
  const problems = [...inputProblems(file), ...orderProblems(file)]
  return problems.length > 0 ? { problems } : { session: sessionOf(file) }
}

/** The run that a session's start describes, of its program as it was read. */
export function sessionRequest(start: SessionStart, profile: BoardProfile, program: Program): RunRequest {
  const { entry, ends, budget, mayExecute = [], ...given } = start
  return {
    ...{ profile, image: program.image, entry: entry ?? program.entry, ends, budget, given },
    ...(mayExecute.length === 0 ? {} : { mayExecute }),
  }
}

/**
 * The same the other way round: what beside its program decides a run. Bytes of the run's image that are not the program's,
 * such as those of a program that calls it, are put into memory and may be executed there.
 */
export function sessionStart(request: RunRequest, program: Program): SessionStart {
  const { entry, ends, budget, given } = request
  const own = new Map(
    program.image.segments.flatMap(({ start, bytes }) => [...bytes].map((byte, i) => [start + i, byte])),
  )
  const others: { at: Addr; bytes: Byte[] }[] = []
  for (const { start, bytes } of request.image.segments)
    bytes.forEach((byte, i) => {
      const at = start + i
      if (own.get(at) === byte) return
      const last = others.at(-1)
      if (last !== undefined && last.at + last.bytes.length === at) last.bytes.push(byte)
      else others.push({ at, bytes: [byte] })
    })
  const mayExecute = [
    ...(request.mayExecute ?? []),
    ...others.map(({ at, bytes }) => ({ from: at, to: at + bytes.length - 1 })),
  ]
  return { entry, ends, budget, mayExecute, ...given, memory: [...others, ...given.memory] }
}

interface FileBytes {
  readonly at: number
  readonly hex: string
}
type FileInput = { readonly t: number } & (
  Exclude<Input, { readonly kind: 'bytes' }> | ({ readonly kind: 'bytes' } & FileBytes)
)
/** What stands in a file that the schema allows. */
type SessionFile = Omit<Session, 'start' | 'tape'> & {
  readonly start: (Omit<SessionStart, 'memory'> & { readonly memory: readonly FileBytes[] }) | null
  readonly tape: (Omit<NonNullable<Session['tape']>, 'inputs'> & { readonly inputs: readonly FileInput[] }) | null
}

/** A session of another version is named so, before anything else in it is blamed. */
function otherFormat(json: unknown): DocumentProblem | null {
  const found = typeof json === 'object' && json !== null && 'format' in json ? json.format : undefined
  if (found === sessionFormat || typeof found !== 'string') return null
  const isOurs = /^hexcairn-session\/\d+$/.test(found)
  return problem(['format'], isOurs ? 'other-version' : 'not-allowed', found, sessionFormat)
}

function inputProblems({ tape }: SessionFile): DocumentProblem[] {
  return (tape?.inputs ?? []).flatMap((input, k) => {
    const path = ['tape', 'inputs', k]
    const schema = inputKinds.get(input.kind)
    if (schema === undefined)
      return [problem([...path, 'kind'], 'not-allowed', input.kind, [...inputKinds.keys()].join(', '))]
    return problemsBySchema(input, schema, path)
  })
}

function orderProblems({ start, tape, notes, position }: SessionFile): DocumentProblem[] {
  const inOrder = (path: readonly (string | number)[], from: number, to: number) =>
    to < from ? [problem([...path, 'to'], 'out-of-range', to, `${from} or more, which is where it begins`)] : []
  return [
    ...(start?.keys ?? []).flatMap(({ from, to }, k) => inOrder(['start', 'keys', k], from, to)),
    ...(start?.mayExecute ?? []).flatMap(({ from, to }, k) => inOrder(['start', 'mayExecute', k], from, to)),
    ...(tape?.inputs ?? []).flatMap(({ t }, k) => {
      const before = tape?.inputs[k - 1]?.t ?? 0
      const until = tape?.until ?? 0
      if (t < before)
        return [problem(['tape', 'inputs', k, 't'], 'out-of-order', t, `${before} or more, as the one before`)]
      return t > until
        ? [problem(['tape', 'inputs', k, 't'], 'out-of-range', t, `up to ${until}, the end of the tape`)]
        : []
    }),
    ...notes.flatMap(({ from, to }, k) => inOrder(['notes', k], from, to)),
    ...inOrder(['position'], position.from, position.to),
  ]
}

function sessionOf(file: SessionFile): Session {
  const { title, board, program, start, exercise, tape, notes, position } = file
  return {
    ...{ title, board, program, exercise, notes, position },
    start:
      start === null ? null : { ...start, memory: start.memory.map(({ at, hex }) => ({ at, bytes: bytesIn(hex) })) },
    tape: tape === null ? null : { ...tape, inputs: tape.inputs.map(inputOf) },
  }
}

function inputToFile({ t, input }: TapedInput): FileInput {
  if (input.kind !== 'bytes') return { t, ...input }
  return { t, kind: 'bytes', at: input.at, hex: hexOf(input.bytes) }
}

function inputOf({ t, ...input }: FileInput): TapedInput {
  if (input.kind !== 'bytes') return { t, input }
  return { t, input: { kind: 'bytes', at: input.at, bytes: bytesIn(input.hex) } }
}

function hexOf(bytes: readonly Byte[]): string {
  return bytes.map(byteDigits).join(' ')
}

function bytesIn(hex: string): Byte[] {
  return [...bytesOfHex(hex.replaceAll(' ', ''))]
}
