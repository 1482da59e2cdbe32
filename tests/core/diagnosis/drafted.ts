import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { draftExercise, type Draft, type ExerciseDraft } from '../../../core/diagnosis/index.ts'
import { formatOfFile, staffReadOptionsFor } from '../../../core/exercise/index.ts'
import { gradeProgram, type Report } from '../../../core/grading/index.ts'
import { documentOf, filesOf, programOf, textOf } from '../exercise/tram-depot.ts'

/** What an author of a demo exercise would have written before any check: task, runs, model answer. */
export function draftOf(folder: string): ExerciseDraft {
  const { title, brief, program, given, cases, budget, constants, id, checks } = documentOf(folder)
  const file = Object.keys(filesOf(folder)).find((name) => name.startsWith('model.')) ?? 'model.asm'
  const isThere = ([, value]: readonly [string, unknown]): boolean => value !== undefined
  const fields = Object.fromEntries(
    Object.entries({ program, given, cases: casesOf(cases), budget, constants }).filter(isThere),
  )
  return {
    id: String(id),
    title: String(title),
    brief: String(brief),
    model: { format: formatOfFile(file), text: textOf(folder, file) },
    fields,
    ...(isWorksheet(checks) ? { ending: 'sheet' } : {}),
  }
}

/** Its author says that the bytes are the answer. */
function isWorksheet(checks: unknown): boolean {
  return (checks as readonly { readonly kind: string }[]).every(({ kind }) => kind === 'program-bytes')
}

/** Without what the checks of the course expect of them. */
function casesOf(cases: unknown): unknown {
  return (cases as readonly Record<string, unknown>[]).map(({ expect: _expect, ...rest }) => rest)
}

export function drafted(folder: string): Draft {
  return draftExercise(draftOf(folder), benchEight)
}

/** How another file of the folder fares with the drafted checks. */
export function reportWith({ exercise }: Draft, folder: string, file: string): Report | null {
  if (exercise === null) return null
  const program = readProgram(programOf(folder, file), staffReadOptionsFor(exercise, benchEight))
  return gradeProgram(program, exercise, benchEight)
}
