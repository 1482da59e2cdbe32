import type { BoardProfile } from '../board/index.ts'
import { checkSchema, ownFields, type Check } from './check-schema.ts'
import { kindNamed, withCaseValues, type PreparedCheck } from './checks/index.ts'
import { coherenceProblems } from './coherence.ts'
import type { programFormats } from './exercise.ts'
import { exerciseSchema, type Exercise, type ProgramText } from './exercise.ts'
import { documentProblem, list, type DocumentProblem, type Path, type Report } from './schema/index.ts'

/** What reading a document gives: an exercise, or every problem found. */
export type ParsedExercise =
  | { readonly isOk: true; readonly exercise: Exercise; readonly problems: readonly [] }
  | { readonly isOk: false; readonly exercise: null; readonly problems: readonly DocumentProblem[] }

/** The schema of the whole document. */
export const documentSchema = exerciseSchema(list(checkSchema, 1, 200))

/**
 * Reads an exercise document from plain data (what a YAML or JSON reader gave). All problems are collected, none hides
 * another. `files` holds the texts beside the document by name; a model answer named there is taken into the exercise.
 * An exercise read before is taken again and gives itself.
 */
export function parseExercise(data: unknown, files: Readonly<Record<string, string>> = {}): ParsedExercise {
  const problems: DocumentProblem[] = []
  const report: Report = (problem) => problems.push(problem)
  const document = documentSchema.read(data, [], report)
  if (document === undefined || document.program === null) return { isOk: false, exercise: null, problems }
  const model = readModel(document.model, files, report)
  const exercise: Exercise = { ...document, program: document.program, model }
  problems.push(...coherenceProblems(exercise))
  for (const [i, check] of exercise.checks.entries()) checkProblems(exercise, check, ['checks', i], report)
  return problems.length === 0 ? { isOk: true, exercise, problems: [] } : { isOk: false, exercise: null, problems }
}

function readModel(
  model: { readonly file: string } | ProgramText | null,
  files: Readonly<Record<string, string>>,
  report: Report,
): ProgramText | null {
  if (model === null || !('file' in model)) return model
  const text = Object.hasOwn(files, model.file) ? files[model.file] : undefined
  if (text === undefined) {
    const there = Object.keys(files)
    const allowed = there.length === 0 ? 'a file that stands beside the document' : `one of ${there.join(', ')}`
    report(documentProblem(['model', 'file'], 'no-such-file', `'${model.file}'`, allowed))
    return null
  }
  return { format: formatOfFile(model.file), text }
}

/** The form of a program by its file's name: `.asm` assembly, `.ihx` Intel HEX, anything else a hex dump. */
export function formatOfFile(file: string): (typeof programFormats)[number] {
  if (/\.(asm|s|z80)$/i.test(file)) return 'assembly'
  return /\.(ihx|ihex|ih)$/i.test(file) ? 'intel-hex' : 'hex'
}

/** Reads a check for each of its cases; the same problem in several cases is reported once. */
function checkProblems(exercise: Exercise, check: Check, path: Path, report: Report): void {
  const seen = new Set<string>()
  const once: Report = (problem) => {
    if (seen.has(problem.message)) return
    seen.add(problem.message)
    report(problem)
  }
  for (const each of exercise.cases) {
    if (check.cases === null || check.cases.includes(each.id)) {
      const read = readCheck(exercise, check, each.id, path, once)
      if (read?.needsModel === true && exercise.model === null) {
        once(documentProblem(path, 'no-model', "'model'", 'values of its own, for the exercise has no model answer'))
      }
    }
  }
}

const prepared = new WeakMap<Exercise, Map<string, PreparedCheck>>()

/**
 * A check ready to be evaluated on a case, its `$name` values filled in. Made once for each exercise, check and case;
 * undefined only for an exercise that `parseExercise` has not passed.
 */
export function prepareCheck(exercise: Exercise, check: Check, caseId: string): PreparedCheck | undefined {
  const known = prepared.get(exercise) ?? new Map<string, PreparedCheck>()
  prepared.set(exercise, known)
  const key = `${check.id} ${caseId}`
  const before = known.get(key)
  if (before !== undefined) return before
  const made = readCheck(exercise, check, caseId, [], () => undefined)
  if (made !== undefined) known.set(key, made)
  return made
}

function readCheck(
  exercise: Exercise,
  check: Check,
  caseId: string,
  path: Path,
  report: Report,
): PreparedCheck | undefined {
  const kind = kindNamed(check.kind)
  const found = exercise.cases.find((each) => each.id === caseId)
  if (kind === undefined || found === undefined) return undefined
  const names = Object.keys(found.expect)
  let isWhole = true
  const fields = withCaseValues(ownFields(check), found.expect, (name, at) => {
    isWhole = false
    const allowed =
      names.length === 0 ? 'no name: the case expects nothing' : names.map((each) => `$${each}`).join(', ')
    report(documentProblem([...path, ...at], 'unknown-name', `'$${name}' for the case ${caseId}`, allowed))
  })
  return isWhole ? kind.read(fields, path, report) : undefined
}

/** What in an exercise does not fit a board: keys, routines, digits or addresses that it does not have. */
export function boardMisfits(exercise: Exercise, profile: BoardProfile): readonly DocumentProblem[] {
  const problems: DocumentProblem[] = []
  if (exercise.board !== profile.id) {
    problems.push(documentProblem(['board'], 'other-board', `'${exercise.board}'`, `'${profile.id}'`))
  }
  const keys = profile.keypad.keys.flat().filter((key) => key !== '')
  const keyProblems = (given: Exercise['given'], path: Path): void => {
    for (const [i, { key }] of (given?.keys ?? []).entries()) {
      if (!keys.includes(key)) {
        problems.push(documentProblem([...path, 'keys', i, 'key'], 'unknown-key', `'${key}'`, keys.join(', ')))
      }
    }
  }
  keyProblems(exercise.given, ['given'])
  for (const [i, each] of exercise.cases.entries()) keyProblems(each.given, ['cases', i, 'given'])
  for (const [i, check] of exercise.checks.entries()) {
    const misfits = new Set<string>()
    for (const each of exercise.cases) {
      if (check.cases !== null && !check.cases.includes(each.id)) continue
      for (const misfit of prepareCheck(exercise, check, each.id)?.misfits(profile) ?? []) misfits.add(misfit)
    }
    for (const misfit of misfits) {
      const problem = documentProblem(['checks', i], 'does-not-fit', misfit, `what ${profile.title} has`)
      problems.push({ ...problem, message: `checks[${i}] (${check.id}): ${misfit}` })
    }
  }
  return problems
}
