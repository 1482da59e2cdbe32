import { readProgram } from '../../core/assembler/index.ts'
import { conceptCards, diagnose, type Cause, type Diagnosis } from '../../core/diagnosis/index.ts'
import { exerciseFor, readOptionsFor } from '../../core/exercise/index.ts'
import { grade } from '../engine.ts'
import { readExercise } from './exercise-file.ts'
import { readCount } from './input.ts'
import { hex, printJson, printProblems } from './output.ts'
import { readProgramText } from './program-file.ts'

export interface DiagnoseCommandOptions {
  readonly json?: boolean
  readonly seed?: string
}

/** `hexcairn diagnose`: 0 when the program passes, 1 when it fails, 2 when exercise or program cannot be read. */
export function diagnoseCommand(named: string, file: string, options: DiagnoseCommandOptions): number {
  const { exercise: written, profile } = readExercise(named)
  const text = readProgramText(file, written.program.origin ?? profile.layout.program)
  const seed = options.seed === undefined ? 0 : readCount(options.seed, '--seed', 0, 0xffffffff)
  const report = grade(text, written, profile, { seed })
  const program = readProgram(text, readOptionsFor(exerciseFor(written, seed), profile))
  const diagnosis = diagnose(program, written, profile, report, { seed })
  const { status, score, isFullMarks } = report
  if (options.json === true) printJson({ status, score, problems: report.problems, ...diagnosis })
  else {
    printProblems(file, report.problems)
    if (status !== 'unreadable') process.stdout.write(diagnosisText(score, isFullMarks, diagnosis))
  }
  return status === 'unreadable' ? 2 : isFullMarks ? 0 : 1
}

function diagnosisText(score: number, isFullMarks: boolean, { causes, repair, counterexample }: Diagnosis): string {
  if (isFullMarks) return 'Full marks: nothing to look for.\n'
  const lines = [`${score} of 100`]
  if (causes.length === 0) lines.push('', 'No cause was found that explains it.')
  for (const [i, cause] of causes.entries()) lines.push('', ...causeLines(i + 1, cause))
  if (repair !== null) {
    const { at, line, found, wouldBe, instruction } = repair
    const bytes = (some: readonly number[]): string =>
      some.length === 0 ? 'nothing' : some.map((byte) => hex(byte, 2)).join(' ')
    const words = instruction.found === null ? '' : ` (${instruction.found} -> ${instruction.wouldBe ?? 'left out'})`
    const where = `${hex(at, 4)}${line === null ? '' : `, line ${line}`}`
    lines.push('', `Nearest program that passes, at ${where}: ${bytes(found)} -> ${bytes(wouldBe)}${words}`)
  }
  if (counterexample !== null) {
    const { inputs, isSmallest, check } = counterexample
    lines.push('', `${isSmallest ? 'Smallest input' : 'A small input'} that fails: ${inputs.join(', ')}`)
    lines.push(`  ${check.title}: ${check.measured ?? 'nothing'}; wanted ${check.wanted ?? '-'}`)
  }
  return lines.map((line) => `${line}\n`).join('')
}

function causeLines(place: number, cause: Cause): string[] {
  const { title, message, certainty, caseId, step, line, address } = cause
  const where = [
    `case ${caseId}`,
    ...(step === null ? [] : [`step ${step}`]),
    ...(address === null ? [] : [`address ${hex(address, 4)}`]),
    ...(line === null ? [] : [`line ${line}`]),
  ]
  return [
    `${place}. ${title} (${Math.round(100 * certainty)} %), ${where.join(', ')}`,
    `   ${message}`,
    `   Concept: ${conceptCards[cause.card].title}`,
  ]
}
