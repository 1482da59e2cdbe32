import type { BoardProfile } from '../board/index.ts'
import {
  constant,
  firstValues,
  hasNames,
  placed,
  sizeOfRange,
  valueAt,
  type Constant,
  type ConstantValues,
  type WrittenParts,
} from './constants.ts'
import { checkSchema, ownFields, type Check } from './check-schema.ts'
import { kindNamed, withCaseValues, type PreparedCheck } from './checks/index.ts'
import { callsMisfits, inputMisfits } from './board-misfits.ts'
import { callsOfCase } from './calls.ts'
import { atMoments } from './prepared-moment.ts'
import { when } from './when.ts'
import { coherenceProblems } from './coherence.ts'
import type { programFormats } from './exercise.ts'
import { exerciseSchema, type Exercise, type ProgramText } from './exercise.ts'
import {
  collectProblems,
  documentProblem,
  isFields,
  list,
  type DocumentProblem,
  type Json,
  type Path,
  type Report,
} from './schema/index.ts'

/** What reading a document gives: an exercise, or every problem found. */
export type ParsedExercise =
  | { readonly isOk: true; readonly exercise: Exercise; readonly problems: readonly [] }
  | {
      readonly isOk: false
      readonly exercise: null
      /** At most `mostTold`. */
      readonly problems: readonly DocumentProblem[]
      /** Problems beyond those. */
      readonly untold: number
    }

/** The schema of the whole document. */
export const documentSchema = exerciseSchema(list(checkSchema, 1, 200))

/**
 * Reads an exercise document from plain data (what a YAML or JSON reader gave). All problems are collected, none hides
 * another, and the first fifty are told. `files` holds the texts beside the document by name; a model answer named there is taken into the exercise.
 * An exercise read before is taken again and gives itself. Where constants stand, it is read with their first values and
 * tried with others, the last ones too.
 */
export function parseExercise(data: unknown, files: Readonly<Record<string, string>> = {}): ParsedExercise {
  const found = collectProblems()
  const { report } = found
  const wrong = (): ParsedExercise => ({
    isOk: false,
    exercise: null,
    problems: found.problems,
    untold: found.untold,
  })
  const constants = constantsOf(data)
  const first = readWith(data, files, firstValues(constants), report)
  if (first === null) return wrong()
  const tried = constants.length === 0 ? 1 : Math.max(2, ...constants.map(({ of }) => of?.length ?? 2))
  for (let i = 1; i < tried; i++) {
    const values = constants.map((each): [string, Json] => {
      const index = each.of === null && i > 0 ? sizeOfRange(each) - 1 : i
      return [each.name, valueAt(each, index)]
    })
    readWith(data, files, Object.fromEntries(values), report)
  }
  return found.problems.length === 0 ? { isOk: true, exercise: first, problems: [] } : wrong()
}

/** The constants of a document, if they can be read; what is wrong with them is told when all of it is read. */
function constantsOf(data: unknown): readonly Constant[] {
  const read = isFields(data) ? list(constant, 0, 16).read(data['constants'], [], () => undefined) : undefined
  return read ?? []
}

function readWith(
  data: unknown,
  files: Readonly<Record<string, string>>,
  values: ConstantValues,
  report: Report,
): Exercise | null {
  const written = writtenOf(data, values)
  const parts = written === null ? {} : placed(written, values, report)
  const document = documentSchema.read(written === null ? data : { ...(data as object), ...parts }, [], report)
  if (document === undefined || document.program === null) return null
  const model = readModel(document.model, files, report)
  const exercise: Exercise = { ...document, program: document.program, model, written }
  for (const problem of coherenceProblems(exercise)) report(problem)
  for (const [i, check] of exercise.checks.entries()) checkProblems(exercise, values, check, ['checks', i], report)
  return exercise
}

/** The parts in which names of constants stand; null where none do. */
function writtenOf(data: unknown, values: ConstantValues): WrittenParts | null {
  if (!isFields(data) || Object.keys(values).length === 0) return null
  const before = data['written']
  const from = isFields(before) ? before : data
  // Plain data of a YAML or JSON reader.
  const parts = { given: from['given'] ?? null, cases: from['cases'] ?? null } as unknown as WrittenParts
  return hasNames(parts.given) || hasNames(parts.cases) ? parts : null
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
function checkProblems(exercise: Exercise, values: ConstantValues, check: Check, path: Path, report: Report): void {
  const seen = new Set<string>()
  const once: Report = (problem) => {
    if (seen.has(problem.message)) return
    seen.add(problem.message)
    report(problem)
  }
  for (const each of exercise.cases) {
    if (check.cases === null || check.cases.includes(each.id)) {
      const read = readCheck(exercise, values, check, each.id, path, once)
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
  const made = readCheck(exercise, firstValues(exercise.constants), check, caseId, [], () => undefined)
  if (made !== undefined) known.set(key, made)
  return made
}

function readCheck(
  exercise: Exercise,
  constants: ConstantValues,
  check: Check,
  caseId: string,
  path: Path,
  report: Report,
): PreparedCheck | undefined {
  const kind = kindNamed(check.kind)
  const found = exercise.cases.find((each) => each.id === caseId)
  if (kind === undefined || found === undefined) return undefined
  if (check.when?.call === 'each' || typeof check.when?.call === 'number') {
    return afterCalls(constants, check, found, path, report)
  }
  const prepared = readKind(constants, check, found, found.expect, path, report)
  if (prepared === undefined || check.when === null) return prepared
  const moment = withCaseValues(check.when, { ...constants, ...found.expect }, () => undefined)
  const read = when.read(moment, [...path, 'when'], report)
  return read === undefined ? undefined : atMoments({ when: read, checks: [{ call: null, check: prepared }] })
}

/** A check that looks after one call of its case, or each: read once for each with the values of the call. */
function afterCalls(
  constants: ConstantValues,
  check: Check,
  of: Exercise['cases'][number],
  path: Path,
  report: Report,
): PreparedCheck | undefined {
  if (check.when === null) return undefined
  const { call: wanted } = check.when
  const checks = callsOfCase(of).flatMap((call, i) => {
    if (wanted !== 'each' && wanted !== i + 1) return []
    const read = readKind(constants, check, of, { ...of.expect, ...call.expect }, path, report)
    return read === undefined ? [] : [{ call: i + 1, check: read }]
  })
  return atMoments({ when: check.when, checks })
}

function readKind(
  constants: ConstantValues,
  check: Check,
  of: Exercise['cases'][number],
  expect: Readonly<Record<string, unknown>>,
  path: Path,
  report: Report,
): PreparedCheck | undefined {
  const kind = kindNamed(check.kind)
  const values = { ...constants, ...expect }
  const names = Object.keys(values)
  let isWhole = true
  const fields = withCaseValues(ownFields(check), values, (name, at) => {
    isWhole = false
    const allowed =
      names.length === 0 ? 'no name: the case expects nothing' : names.map((each) => `$${each}`).join(', ')
    report(documentProblem([...path, ...at], 'unknown-name', `'$${name}' for the case ${of.id}`, allowed))
  })
  return isWhole ? kind?.read(fields, path, report) : undefined
}

/** What in an exercise does not fit a board: keys, routines, digits or addresses that it does not have. */
export function boardMisfits(exercise: Exercise, profile: BoardProfile): readonly DocumentProblem[] {
  const problems: DocumentProblem[] = []
  if (exercise.board !== profile.id) {
    problems.push(documentProblem(['board'], 'other-board', `'${exercise.board}'`, `'${profile.id}'`))
  }
  problems.push(...inputMisfits(exercise, profile), ...callsMisfits(exercise, profile))
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
