import { instructionSet, type Addr, type Instruction } from '../../cpu/index.ts'
import type { CaseRun, Moment } from '../case-run.ts'
import { documentProblem, nearestSpelling, type Schema } from '../schema/index.ts'

const mnemonics: readonly string[] = [...new Set(instructionSet.map((each) => each.text.split(' ')[0] ?? ''))]

function tidy(written: string): string {
  return written.trim().toUpperCase().replace(/\s+/g, ' ').replace(/ ?, ?/g, ',')
}

/** The rows of the instruction table that a pattern names: a mnemonic (`DJNZ`), or a whole spelling (`LD A,(HL)`). */
function rowsOf(pattern: string): readonly Instruction[] {
  const wanted = tidy(pattern)
  return instructionSet.filter(({ text }) => tidy(text) === wanted || text.split(' ')[0] === wanted)
}

/** A mnemonic, or an instruction as the instruction table spells it (`OUT (n),A`, `LD BC,nn`). */
export const pattern: Schema<string> = {
  allowed: 'a mnemonic (DJNZ) or an instruction as in the instruction table (LD A,(HL), OUT (n),A)',
  parts: [],
  json: () => ({ type: 'string', minLength: 2, maxLength: 20 }),
  read(value, path, report) {
    if (typeof value === 'string' && rowsOf(value).length > 0) return tidy(value)
    const near = typeof value === 'string' ? nearestSpelling(value, mnemonics) : null
    report(documentProblem(path, 'unknown-instruction', `'${String(value)}'`, pattern.allowed, near))
    return undefined
  },
}

function matches(row: Instruction, memory: Uint8Array, at: Addr): boolean {
  return row.encoding.every((part, i) => typeof part === 'string' || memory[(at + i) & 0xffff] === part)
}

/** Every address of the program at whose bytes one of the patterns would be read, whether or not it is reached. */
function candidates(run: CaseRun, patterns: readonly string[], memory: Uint8Array): readonly Addr[] {
  const rows = patterns.flatMap(rowsOf)
  const found: Addr[] = []
  for (const { start, bytes } of run.program.image.segments) {
    for (let at = start; at < start + bytes.length; at++) {
      if (rows.some((row) => matches(row, memory, at))) found.push(at)
    }
  }
  return found
}

/** When an instruction of one of the patterns was first executed in the program; null when none was. */
export function firstExecuted(run: CaseRun, patterns: readonly string[]): Moment | null {
  // Stopping where an instruction begins tells bytes that were executed from operands and data that look the same.
  const addresses = candidates(run, patterns, run.initial().memory)
  if (addresses.length === 0) return null
  const stopped = run.runUntil(addresses)
  return stopped.end.kind === 'breakpoint'
    ? { t: stopped.tStates, address: stopped.end.address, step: stopped.steps }
    : null
}

/**
 * How often instructions of the patterns were executed in the program, each round of LDIR and its like for itself, and
 * when for the last time.
 */
export function countExecuted(
  run: CaseRun,
  patterns: readonly string[],
): { readonly count: number; readonly last: Moment | null } {
  const addresses = new Set(candidates(run, patterns, run.initial().memory))
  let count = 0
  let last: Moment | null = null
  const recording = run.recording()
  if (addresses.size > 0) {
    recording.walk(0, recording.result.steps, (step, t, address) => {
      if (!addresses.has(address)) return
      count += 1
      last = { t, address, step }
    })
  }
  return { count, last }
}

/** Where an instruction of one of the patterns first stands on a line of the listing; null when it stands nowhere. */
export function firstWritten(run: CaseRun, patterns: readonly string[]): Moment | null {
  const rows = patterns.flatMap(rowsOf)
  const line = run.program.listing.find(({ kind, bytes }) => {
    if (kind !== 'instruction' || bytes.length === 0) return false
    const memory = Uint8Array.from(bytes)
    return rows.some((row) => row.encoding.length === bytes.length && matches(row, memory, 0))
  })
  return line === undefined ? null : { t: 0, address: line.address ?? run.program.entry, step: 0 }
}
