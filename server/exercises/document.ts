import { isMap, isScalar, Lexer, LineCounter, parseDocument, Parser, visit, type Document, type Node } from 'yaml'
import {
  boardMisfits,
  documentProblem,
  exerciseDigest,
  mostTold,
  parseExercise,
  placeProblems,
  type DocumentProblem,
  type Exercise,
  type Path,
} from '../../core/exercise/index.ts'
import type { BoardProfile } from '../../core/board/index.ts'
import { documentWarnings } from '../../core/grading/index.ts'
import type { Place } from '../../core/image/index.ts'
import type { Fault } from '../contract/index.ts'
import { boards } from '../engine.ts'
import { ApiError } from '../errors.ts'
import { pointerOf } from '../json-pointer.ts'
import { strangePlaces } from '../plain-text.ts'
import type { RevisionData } from '../store/exercises.ts'

/** What reading the text of an exercise gives: the exercise and its board, or every mistake with its line. */
export type DocumentReading =
  | {
      readonly isOk: true
      readonly exercise: Exercise
      readonly profile: BoardProfile
      /** What is no mistake and hardly meant, such as a check that doing nothing passes; runs the exercise to find out. */
      warnings(): readonly Fault[]
    }
  | WrongDocument

export interface WrongDocument {
  readonly isOk: false
  readonly code: 'exercise-document-wrong' | 'board-unknown'
  /** The first `mostTold`. */
  readonly faults: readonly Fault[]
  /** Mistakes in all. */
  readonly count: number
}

/** Lists and groups in each other; the deepest place that the format knows lies at 9. */
const deepest = 64

/** Tokens that the YAML parser has open at most; a list or group opens one or two. */
const mostOpen = 4 * deepest

/**
 * The fault of a text in which far more lists and groups stand in each other than a document may have; null for others. The
 * YAML reader follows them by recursion, and where the stack runs out while V8 compiles a regular expression the whole
 * process is aborted: it is never asked to.
 */
function faultOfDepth(source: string): Fault | null {
  const lines = new LineCounter()
  const parser = new Parser(lines.addNewLine)
  for (const lexeme of new Lexer().lex(source)) {
    for (const _token of parser.next(lexeme));
    if (parser.stack.length > mostOpen) {
      const { line, col } = lines.linePos(parser.offset)
      return { pointer: '', message: tooDeep, code: 'yaml', line: Math.max(line, 1), column: Math.max(col, 1) }
    }
  }
  return null
}

/** Reads the YAML (or JSON) text of an exercise. `files` holds the texts that stand beside it, by name. */
export function readExerciseText(source: string, files: Readonly<Record<string, string>> = {}): DocumentReading {
  const depthFault = faultOfDepth(source)
  if (depthFault !== null) return wrong([depthFault])
  const lines = new LineCounter()
  // The reader's own search for double keys compares each with each.
  const document = parseDocument(source, {
    lineCounter: lines,
    prettyErrors: false,
    version: '1.2',
    uniqueKeys: false,
  })
  const noYaml = (message: string, at = 0): Fault => {
    const { line, col } = lines.linePos(at)
    return { pointer: '', message, code: 'yaml', line: Math.max(line, 1), column: Math.max(col, 1) }
  }
  if (document.errors.length > 0) {
    const told = document.errors.slice(0, mostTold).map(({ message, pos }) => noYaml(message, pos[0]))
    return wrong(told, document.errors.length)
  }
  const doubles = doubleKeys(document)
  if (doubles.length > 0) {
    const told = doubles.slice(0, mostTold).map(({ key, at }) => noYaml(`'${key}' stands here a second time.`, at))
    return wrong(told, doubles.length)
  }
  let plain: unknown
  try {
    plain = document.toJS({ maxAliasCount: 50 })
  } catch (error) {
    // Aliases that multiply, or that point nowhere.
    return wrong([noYaml((error as Error).message)])
  }
  const depth = depthOf(plain)
  if (depth > deepest) return wrong([noYaml(depth === Infinity ? 'A part of the document holds itself.' : tooDeep)])
  // YAML can write any character as an escape.
  const strange = strangePlaces(plain, { isOneLine: false })
  if (strange.length > 0) {
    const problems = strange.map(({ path, found }) => documentProblem(path, 'character', found, 'text'))
    return wrong(toFaults(problems, document, lines))
  }
  const read = parseExercise(plain, files)
  if (!read.isOk) return wrong(toFaults(read.problems, document, lines), read.problems.length + read.untold)
  const { exercise } = read
  const profile = boards.get(exercise.board)
  if (profile === undefined) {
    const message = `The exercise names '${exercise.board}'; installed: ${[...boards.keys()].join(', ')}.`
    const at = placeIn(document, lines, ['board'])
    const place = { line: at?.line ?? 1, column: at?.column ?? 1 }
    return wrong([{ pointer: '/board', message, code: 'board-unknown', ...place }], 1, 'board-unknown')
  }
  const misfits = boardMisfits(exercise, profile)
  if (misfits.length > 0) return wrong(toFaults(misfits.slice(0, mostTold), document, lines), misfits.length)
  const warnings = (): readonly Fault[] => toFaults(documentWarnings(exercise, profile), document, lines)
  return { isOk: true, exercise, profile, warnings }
}

function wrong(
  faults: readonly Fault[],
  count = faults.length,
  code: WrongDocument['code'] = 'exercise-document-wrong',
): WrongDocument {
  return { isOk: false, code, faults, count }
}

/** `one mistake`, `3 mistakes`; of many, how many of them are told. */
export function countOfMistakes({ faults, count }: WrongDocument): string {
  if (count === 1) return 'one mistake'
  return count > faults.length
    ? `${count} mistakes, of which these are the first ${faults.length}`
    : `${count} mistakes`
}

const tooDeep = `Lists and groups stand in each other more than ${deepest} deep.`

/** Keys that stand twice in one group, at their second place. */
function doubleKeys(document: Document): readonly { readonly key: string; readonly at: number }[] {
  const found: { key: string; at: number }[] = []
  visit(document, {
    Map: (_, map) => {
      const seen = new Set<string>()
      for (const { key } of map.items) {
        if (!isScalar(key)) continue
        const name = String(key.value)
        if (seen.has(name)) found.push({ key: name.slice(0, 40), at: key.range?.[0] ?? 0 })
        seen.add(name)
      }
    },
  })
  return found
}

/** How deep lists and groups stand in each other; Infinity where one holds itself. */
function depthOf(plain: unknown): number {
  const open = new Set<object>()
  const known = new Map<object, number>()
  const measure = (value: unknown): number => {
    if (typeof value !== 'object' || value === null) return 0
    const before = known.get(value)
    if (before !== undefined) return before
    if (open.has(value)) return Infinity
    open.add(value)
    let depth = 0
    for (const each of Object.values(value)) depth = Math.max(depth, measure(each))
    open.delete(value)
    known.set(value, depth + 1)
    return depth + 1
  }
  return measure(plain)
}

/** What is stored of an exercise that was read. */
export function revisionOf(exercise: Exercise, source: string): RevisionData {
  return {
    code: exercise.id,
    title: exercise.title,
    summary: firstSentence(exercise.brief),
    boardId: exercise.board,
    source,
    document: exercise,
    digest: exerciseDigest(exercise),
  }
}

/** Reads a text that is trusted, in this thread; throws one coded error with all mistakes in it. */
export function readDocument(source: string): { readonly exercise: Exercise; readonly revision: RevisionData } {
  const read = readExerciseText(source)
  if (!read.isOk) throw documentError(read)
  return { exercise: read.exercise, revision: revisionOf(read.exercise, source) }
}

/** All mistakes of a document as one coded error. */
export function documentError(wrongOne: WrongDocument): ApiError {
  const first = wrongOne.faults[0]?.message ?? ''
  if (wrongOne.code === 'board-unknown') return new ApiError('board-unknown', first)
  const detail = `The document has ${countOfMistakes(wrongOne)}: ${first}`
  return new ApiError('exercise-document-wrong', detail, { faults: [...wrongOne.faults] })
}

function toFaults(problems: readonly DocumentProblem[], document: Document, lines: LineCounter): Fault[] {
  const placed = placeProblems(problems, (path) => placeIn(document, lines, path))
  return problems.map((problem, i) => ({
    pointer: pointerOf(problem.path),
    message: problem.message,
    code: problem.code,
    line: placed[i]?.at.line ?? 1,
    column: placed[i]?.at.column ?? 1,
  }))
}

/** Where the key of a field, or an item of a list, begins in the text. */
function placeIn(document: Document, lines: LineCounter, path: Path): Place | null {
  const parent = path.length === 0 ? null : document.getIn(path.slice(0, -1), true)
  const last = path.at(-1)
  const pair = isMap(parent) ? parent.items.find((item) => String(item.key) === String(last)) : undefined
  const node = (pair?.key ?? document.getIn(path, true)) as Node | undefined | null
  const range = node?.range
  if (range === undefined || range === null) return null
  const { line, col } = lines.linePos(range[0])
  return { line, column: col, length: Math.max(1, range[1] - range[0]) }
}

function firstSentence(text: string): string {
  const flat = text.replace(/\s+/g, ' ').trim()
  const end = flat.search(/[.!?](\s|$)/)
  const sentence = end === -1 ? flat : flat.slice(0, end + 1)
  return sentence.length > 200 ? `${sentence.slice(0, 199)}…` : sentence
}
