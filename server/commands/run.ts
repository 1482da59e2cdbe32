import { digitTimeline, notesOf, type BoardProfile } from '../../core/board/index.ts'
import { readProgram } from '../../core/assembler/index.ts'
import { readSession, sessionRequest, type Session } from '../../core/exports/index.ts'
import { digestOfRun, record, run, type RunEnd, type RunRequest, type RunResult } from '../../core/run/index.ts'
import { boardNamed } from './board-named.ts'
import { readCount, readText } from './input.ts'
import { CommandProblem, hex, printJson, printProblems } from './output.ts'
import { readOptionsOf, readProgramText, type ProgramText } from './program-file.ts'
import { asksForFiles, writeRunFiles, type RunFiles } from './run-files.ts'

export interface RunOptions extends RunFiles {
  readonly board: string
  readonly tStates?: string
  readonly ends: 'halt' | 'return'
  readonly json?: boolean
}

/** `hexcairn run`: 0 when the program was run, however it ended; 2 when it could not be read. */
export function runCommand(file: string, options: RunOptions): number {
  const session = file.endsWith('.hexcairn.json') ? sessionIn(file) : null
  const profile = boardNamed(session?.board ?? options.board)
  const text: ProgramText = session?.program ?? readProgramText(file, profile.layout.program)
  const program = readProgram(text, readOptionsOf(profile))
  if (!program.isOk) {
    if (options.json === true) printJson({ isOk: false, problems: program.problems })
    else printProblems(file, program.problems)
    return 2
  }
  const most = options.tStates === undefined ? null : readCount(options.tStates, '--t-states', 1, 4_000_000_000)
  const given = { registers: {}, memory: [], keys: [], switches: 0, fill: { byte: 0 }, isTimerOn: false }
  const plain = { entry: program.entry, ends: options.ends, given, budget: 40_000_000 }
  const start = session?.start ?? null
  const whole: RunRequest =
    start === null ? { profile, image: program.image, ...plain } : sessionRequest(start, profile, program)
  const request = most === null ? whole : { ...whole, budget: most }
  const recording = asksForFiles(options) ? record(request) : null
  const result = recording?.result ?? run(request)
  const told = recording === null ? [] : writeRunFiles(options, { file, recording, request, program, text, profile })
  if (options.json === true) printJson(resultJson(result, profile, program.problems))
  else {
    printProblems(file, program.problems)
    process.stdout.write(resultText(result, profile) + told.map((line) => `${line}\n`).join(''))
  }
  return 0
}

/** A session's file; its run must be one that needs neither an exercise nor a hand on the bench. */
function sessionIn(file: string): Session {
  const reading = readSession(readText(file))
  if ('problems' in reading) {
    const lines = reading.problems.map(({ path, message }) => `${file}: ${path.join('.')}: ${message}`)
    throw new CommandProblem('session-wrong', lines.join('\n'), { problems: reading.problems })
  }
  const { session } = reading
  if (session.start === null)
    throw new CommandProblem(
      'session-without-start',
      `${file} is a session ${session.tape === null ? 'of an exercise' : 'of the bench'}; only one that says how the run starts can be run here.`,
    )
  return session
}

function resultJson(result: RunResult, profile: BoardProfile, problems: readonly unknown[]): unknown {
  const { end, tStates, steps, lastPc, registers } = result
  return {
    isOk: true,
    board: profile.id,
    clockHz: profile.clockHz,
    end,
    tStates,
    seconds: tStates / profile.clockHz,
    steps,
    lastPc,
    registers,
    digits: digitTimeline(result.events, profile, 0, tStates),
    notes: notesOf(result.events, profile),
    events: result.events.length,
    digest: digestOfRun(result),
    problems,
  }
}

function resultText(result: RunResult, profile: BoardProfile): string {
  const { registers: r, tStates } = result
  const ms = (t: number): string => `${((t * 1000) / profile.clockHz).toFixed(3)} ms`
  const rows = [`${endText(result.end)} after ${tStates} T-states (${ms(tStates)}), ${result.steps} instructions`]
  const pairs = { AF: r.af, BC: r.bc, DE: r.de, HL: r.hl, IX: r.ix, IY: r.iy, SP: r.sp, PC: r.pc }
  rows.push(
    Object.entries(pairs)
      .map(([name, value]) => `${name}=${hex(value, 4)}`)
      .join(' '),
  )
  for (const span of digitTimeline(result.events, profile, 0, tStates))
    if (span.state !== 'dark')
      rows.push(`digit ${span.digit + 1}: '${span.glyph}' ${span.state}, ${ms(span.from)} to ${ms(span.to)}`)
  for (const note of notesOf(result.events, profile))
    if (note.frequencyHz !== null)
      rows.push(`speaker: ${note.frequencyHz.toFixed(1)} Hz, ${note.edges} edges, ${ms(note.from)} to ${ms(note.to)}`)
  return rows.map((row) => `${row}\n`).join('')
}

function endText(end: RunEnd): string {
  switch (end.kind) {
    case 'halted':
      return 'Halted'
    case 'returned':
      return 'Returned'
    case 'breakpoint':
      return `Stopped at the breakpoint ${hex(end.address, 4)}`
    case 'budget-used-up':
      return end.loop === null
        ? 'Budget used up'
        : `Budget used up in the loop ${hex(end.loop.from, 4)} to ${hex(end.loop.to, 4)}`
    case 'proven-loop':
      return `Proven endless loop ${hex(end.loop.from, 4)} to ${hex(end.loop.to, 4)}`
    case 'left-program':
      return `Left the program from ${hex(end.from, 4)} to ${hex(end.address, 4)}`
    case 'stack-fault':
      return `Stack fault at ${hex(end.sp, 4)}`
    case 'stopped':
      return 'Stopped'
  }
}
