import { readProgram, type Program } from '../../core/assembler/index.ts'
import type { BoardProfile } from '../../core/board/index.ts'
import { caseInstances, exerciseFor, readOptionsFor, runRequestFor } from '../../core/exercise/index.ts'
import {
  readSession,
  sessionReadOptions,
  sessionRequest,
  type Session,
  type SessionExercise,
  type SessionProgram,
} from '../../core/exports/index.ts'
import type { RunRequest } from '../../core/run/index.ts'
import { boardNamed } from './board-named.ts'
import { readExercise } from './exercise-file.ts'
import { readCount, readText } from './input.ts'
import { CommandProblem } from './output.ts'
import { readOptionsOf, readProgramText } from './program-file.ts'

/** What `hexcairn run` is asked to run. */
export interface SubjectOptions {
  readonly board: string
  readonly ends: 'halt' | 'return'
  /** Run it as a case of this exercise begins. */
  readonly exercise?: string
  readonly case?: string
  readonly seed?: string
  readonly start?: string
}

/** A program as it was read, and the run that it begins; null where it cannot be read. */
export interface Subject {
  readonly profile: BoardProfile
  readonly text: SessionProgram
  readonly program: Program
  readonly request: RunRequest | null
  readonly exercise: SessionExercise | null
}

/** A program by itself, a session, or a program as a case of an exercise begins with it. */
export function subjectOf(file: string, options: SubjectOptions): Subject {
  const session = file.endsWith('.hexcairn.json') ? sessionIn(file, options.exercise !== undefined) : null
  if (options.exercise !== undefined) return caseSubject(options.exercise, file, session, options)
  for (const name of ['case', 'seed', 'start'] as const)
    if (options[name] !== undefined)
      throw new CommandProblem(
        'exercise-missing',
        `--${name} says which run of an exercise is meant: --exercise is missing.`,
      )
  const profile = boardNamed(session?.board ?? options.board)
  const text = session?.program ?? readProgramText(file, profile.layout.program)
  const program = readProgram(text, sessionReadOptions(text, readOptionsOf(profile)))
  const given = { registers: {}, memory: [], keys: [], switches: 0, fill: { byte: 0 }, isTimerOn: false }
  const start = session?.start ?? { entry: null, ends: options.ends, ...given, budget: 40_000_000 }
  const request = program.isOk ? sessionRequest(start, profile, program) : null
  return { profile, text, program, request, exercise: session?.exercise ?? null }
}

function caseSubject(named: string, file: string, session: Session | null, options: SubjectOptions): Subject {
  const { exercise, profile } = readExercise(named)
  const before = session?.exercise ?? null
  const count = (name: 'seed' | 'start'): number | undefined =>
    options[name] === undefined ? before?.[name] : readCount(options[name], `--${name}`, 0, 0xffffffff)
  const seed = count('seed') ?? 0
  const own = exerciseFor(exercise, seed)
  const text = session?.program ?? readProgramText(file, own.program.origin ?? profile.layout.program)
  const readOptions = readOptionsFor(own, profile)
  const program = readProgram(text, sessionReadOptions(text, readOptions))
  const ids = caseInstances(exercise).map(({ id }) => id)
  const caseId = options.case ?? before?.caseId ?? (ids.length === 1 ? ids[0] : undefined)
  if (caseId === undefined || !ids.includes(caseId)) {
    const found = caseId === undefined ? '--case is missing' : `the case ${caseId} was not found`
    throw new CommandProblem('case-not-found', `${exercise.id}: ${found}; its cases are ${ids.join(', ')}.`)
  }
  const request = program.isOk ? runRequestFor(exercise, profile, program, caseId, seed, count('start')) : null
  const start = request?.given.undefined?.start
  const routines = profile.firmware.symbols
  const names = Object.entries(readOptions.symbols ?? {}).filter(([name]) => !Object.hasOwn(routines, name))
  return {
    ...{ profile, program, request },
    text: {
      ...text,
      ...(readOptions.origin === profile.layout.program ? {} : { origin: readOptions.origin }),
      ...(names.length === 0 ? {} : { symbols: Object.fromEntries(names) }),
    },
    exercise: { id: exercise.id, caseId, seed, ...(start === undefined ? {} : { start }) },
  }
}

/** A session's file; without an exercise its run must be one that needs no hand on the bench. */
function sessionIn(file: string, isOfExercise: boolean): Session {
  const reading = readSession(readText(file))
  if ('problems' in reading) {
    const lines = reading.problems.map(({ path, message }) => `${file}: ${path.join('.')}: ${message}`)
    throw new CommandProblem('session-wrong', lines.join('\n'), { problems: reading.problems })
  }
  const { session } = reading
  if (session.start === null && !isOfExercise) {
    const { exercise } = session
    const of = exercise === null ? 'of the bench' : `of a case of ${exercise.id}`
    const way = exercise === null ? '' : `, or with --exercise the case that it names`
    throw new CommandProblem(
      'session-without-start',
      `${file} is a session ${of}; one that says how the run starts can be run here${way}.`,
    )
  }
  return session
}
