import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import {
  compareRuns,
  comparisonOptions,
  openingPlace,
  type ComparedRun,
  type Comparison,
  type OpeningPlace,
} from '../../../core/diagnosis/index.ts'
import { caseInstances, exerciseFor, runRequestFor, staffReadOptionsFor } from '../../../core/exercise/index.ts'
import { grade, type Report } from '../../../core/grading/index.ts'
import { record } from '../../../core/run/index.ts'
import { exerciseOf, filesOf, programOf } from '../exercise/tram-depot.ts'

export interface ComparedCase {
  readonly caseId: string
  readonly comparison: Comparison
}

const runs = new Map<string, ComparedRun>()

function runOf(folder: string, file: string, caseId: string): ComparedRun {
  const key = `${folder} ${file} ${caseId}`
  const known = runs.get(key)
  if (known !== undefined) return known
  const exercise = exerciseFor(exerciseOf(folder), 0)
  const program = readProgram(programOf(folder, file), staffReadOptionsFor(exercise, benchEight))
  const request = runRequestFor(exercise, benchEight, program, caseId, 0)
  const made = { recording: record(request), request }
  if (file.startsWith('model')) runs.set(key, made)
  return made
}

/** The model answer's file of a folder. */
export function modelFileOf(folder: string): string {
  return Object.keys(filesOf(folder)).find((name) => name.startsWith('model.')) ?? 'model.asm'
}

/** A file of an exercise held against its model answer, case by case, up to the first difference. */
export function compared(folder: string, file: string): readonly ComparedCase[] {
  const exercise = exerciseFor(exerciseOf(folder), 0)
  const result: ComparedCase[] = []
  for (const { id } of caseInstances(exercise)) {
    const options = comparisonOptions(exercise, benchEight, id, 0)
    const wanted = runOf(folder, modelFileOf(folder), id)
    const comparison = compareRuns(wanted, runOf(folder, file, id), benchEight, options)
    result.push({ caseId: id, comparison })
    if (comparison.difference !== null) break
  }
  return result
}

/** Where the trace of a hand-in opens, with its report. */
export function openingOf(
  folder: string,
  file: string,
): { readonly place: OpeningPlace | null; readonly report: Report } {
  const exercise = exerciseOf(folder)
  const source = programOf(folder, file)
  const report = grade(source, exercise, benchEight, { seed: 0, isStaffAnswer: true })
  const program = readProgram(source, staffReadOptionsFor(exerciseFor(exercise, 0), benchEight))
  return { place: openingPlace(report, program, exercise, benchEight), report }
}
