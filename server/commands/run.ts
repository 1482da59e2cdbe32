import { digitTimeline, notesOf, type BoardProfile } from '../../core/board/index.ts'
import { floodText } from '../../core/exercise/index.ts'
import { digestOfRun, record, run, type RunEnd, type RunResult } from '../../core/run/index.ts'
import { readCount } from './input.ts'
import { hex, printJson, printProblems } from './output.ts'
import { asksForFiles, writeRunFiles, type RunFiles } from './run-files.ts'
import { subjectOf, type SubjectOptions } from './run-subject.ts'

export interface RunOptions extends RunFiles, SubjectOptions {
  readonly tStates?: string
  readonly json?: boolean
}

/** `hexcairn run`: 0 when the program was run, however it ended; 2 when it could not be read. */
export function runCommand(file: string, options: RunOptions): number {
  const { profile, text, program, request: whole, exercise } = subjectOf(file, options)
  if (whole === null) {
    if (options.json === true) printJson({ isOk: false, problems: program.problems })
    else printProblems(file, program.problems)
    return 2
  }
  const most = options.tStates === undefined ? null : readCount(options.tStates, '--t-states', 1, 4_000_000_000)
  const request = most === null ? whole : { ...whole, budget: most }
  const recording = asksForFiles(options) ? record(request) : null
  const result = recording?.result ?? run(request)
  const ran = { file, request, program, text, profile, exercise }
  const told = recording === null ? [] : writeRunFiles(options, { ...ran, recording })
  if (options.json === true) printJson({ ...resultJson(result, profile, program.problems), exercise })
  else {
    printProblems(file, program.problems)
    process.stdout.write(resultText(result, profile) + told.map((line) => `${line}\n`).join(''))
  }
  return 0
}

function resultJson(result: RunResult, profile: BoardProfile, problems: readonly unknown[]): object {
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
  const rows = [
    `${endText(result.end, profile)} after ${tStates} T-states (${ms(tStates)}), ${result.steps} instructions`,
  ]
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

function endText(end: RunEnd, profile: BoardProfile): string {
  switch (end.kind) {
    case 'halted':
      return 'Halted'
    case 'returned':
      return 'Returned'
    case 'breakpoint':
      return `Stopped at the breakpoint ${hex(end.address, 4)}`
    case 'budget-used-up':
      if (end.events !== undefined) return `Stopped (${floodText(end.events, profile)}; is a pause missing?)`
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
