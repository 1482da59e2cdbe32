import type { Program } from '../../core/assembler/index.ts'
import type { BoardProfile } from '../../core/board/index.ts'
import {
  sessionStart,
  stepTableCsv,
  vcdOf,
  wavOf,
  writeSession,
  type SessionExercise,
  type SessionProgram,
} from '../../core/exports/index.ts'
import type { Recording, RunRequest } from '../../core/run/index.ts'
import { OutputFiles } from './output-file.ts'
import { CommandProblem } from './output.ts'

/** Files for other tools that `hexcairn run` writes beside what it prints. */
export interface RunFiles {
  /** The lanes as a value change dump (IEEE 1364). */
  readonly vcd?: string
  /** What the speaker played, as WAV. */
  readonly wav?: string
  /** Every step with its registers, as CSV. */
  readonly steps?: string
  /** Program and inputs in one file that opens on any Hexcairn. */
  readonly session?: string
}

/** A table of more steps is larger than any spreadsheet opens: 130 characters each. */
const mostSteps = 1_000_000

export const asksForFiles = ({ vcd, wav, steps, session }: RunFiles): boolean =>
  [vcd, wav, steps, session].some((file) => file !== undefined)

/** What stands behind a run, as far as its files need it. */
export interface Ran {
  /** The file of the program, as it was named. */
  readonly file: string
  readonly recording: Recording
  readonly request: RunRequest
  readonly program: Program
  readonly text: SessionProgram
  readonly profile: BoardProfile
  /** The case that was run; null for a program by itself. */
  readonly exercise: SessionExercise | null
}

/** Writes the files that were asked for, and tells what was written, one a line. */
export function writeRunFiles(files: RunFiles, ran: Ran): string[] {
  const { recording, program, profile } = ran
  const { tStates, steps } = recording.result
  if (files.steps !== undefined && steps > mostSteps)
    throw new CommandProblem(
      'too-many-steps',
      `The run has ${steps} steps; a table of steps holds at most ${mostSteps}. Shorten the run with --t-states.`,
    )
  const told: string[] = []
  const output = new OutputFiles([ran.file])
  const write = (file: string | undefined, what: string, make: () => string | Uint8Array): void => {
    if (file === undefined) return
    output.write(file, make())
    told.push(`${what}: ${file}`)
  }
  write(files.vcd, 'lanes', () => vcdOf(recording, profile, { lanes: [{ kind: 'register', register: 'pc' }] }))
  write(files.wav, 'speaker', () => wavOf(recording.events, profile, { from: 0, to: tStates }))
  write(files.steps, 'steps', () => stepTableCsv(recording, 0, steps, { listing: program.listing }))
  write(files.session, 'session', () => sessionOf(ran))
  return told
}

function sessionOf({ recording, request, program, text, profile, exercise }: Ran): string {
  return writeSession({
    title: exercise === null ? 'A run on the command line' : `${exercise.id}, case ${exercise.caseId}`,
    board: profile.id,
    program: text,
    start: sessionStart(request, program),
    exercise,
    tape: null,
    notes: [],
    position: { step: 0, from: 0, to: recording.result.tStates },
  })
}
