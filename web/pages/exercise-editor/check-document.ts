import { isAlias, isMap, isNode, isScalar, isSeq, LineCounter, parseDocument, type Document, type Node } from 'yaml'
import type { BoardProfile } from '../../../core/board/index.ts'
import {
  boardMisfits,
  mostTold,
  parseExercise,
  placeProblems,
  type DocumentProblem,
  type Exercise,
  type Path,
} from '../../../core/exercise/index.ts'
import type { Place, Problem } from '../../../core/image/index.ts'

/** What a text is worth as an exercise document: the exercise, or each problem with its line. */
export interface CheckedDocument {
  readonly exercise: Exercise | null
  readonly problems: readonly Problem[]
}

/** Reads the text as the server will; `board` (once known) also says what does not fit it. */
export function checkDocument(text: string, boards: readonly BoardProfile[]): CheckedDocument {
  const lines = new LineCounter()
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false, uniqueKeys: true })
  const place = placeIn(lines)
  if (document.errors.length > 0)
    return {
      exercise: null,
      problems: told(document.errors, (all) => all.map(({ message, pos }) => noYaml(message, place(pos[0], pos[1])))),
    }
  let plain: unknown
  try {
    plain = document.toJS({ maxAliasCount: 50 })
  } catch (error) {
    // Aliases that multiply, or that point nowhere.
    return { exercise: null, problems: [noYaml(error instanceof Error ? error.message : '', place(0, 1))] }
  }
  const parsed = parseExercise(plain)
  const problems = parsed.isOk ? misfits(parsed.exercise, boards) : parsed.problems
  const untold = parsed.isOk ? 0 : parsed.untold
  return {
    exercise: problems.length === 0 ? parsed.exercise : null,
    problems: told(problems, (all) => placeProblems(all, (path) => placeAt(document, path, place)), untold),
  }
}

/** Warnings of an exercise as marks in the text that it was read from. */
export function placedWarnings(text: string, warnings: readonly DocumentProblem[]): readonly Problem[] {
  const lines = new LineCounter()
  const document = parseDocument(text, { lineCounter: lines, prettyErrors: false })
  const placed = placeProblems(warnings, (path) => placeAt(document, path, placeIn(lines)))
  return placed.map((problem) => ({ ...problem, severity: 'warning' }))
}

function placeIn(lines: LineCounter): (from: number, to: number) => Place {
  return (from, to) => {
    const { line, col } = lines.linePos(from)
    return { line: Math.max(line, 1), column: Math.max(col, 1), length: Math.max(1, to - from) }
  }
}

/** The first of many problems with their places, and one more that says how many are left out. */
function told<P>(
  problems: readonly P[],
  toProblems: (first: readonly P[]) => readonly Problem[],
  untold = 0,
): readonly Problem[] {
  const rest = Math.max(0, problems.length - mostTold) + untold
  const first = toProblems(problems.slice(0, mostTold))
  if (rest === 0) return first
  const message = `And ${rest} more ${rest === 1 ? 'problem' : 'problems'}, told once these are mended.`
  const at = { line: 1, column: 1, length: 1 }
  return [...first, { severity: 'error', code: 'more', at, found: `${rest} more`, allowed: 'none', message }]
}

function noYaml(message: string, at: Place): Problem {
  return { severity: 'error', code: 'not-yaml', at, found: 'text that is no YAML', allowed: 'a YAML document', message }
}

function misfits(exercise: Exercise, boards: readonly BoardProfile[]): readonly DocumentProblem[] {
  if (boards.length === 0) return []
  const board = boards.find((each) => each.id === exercise.board)
  if (board !== undefined) return boardMisfits(exercise, board)
  const allowed = boards.map(({ id }) => `'${id}'`).join(', ')
  const found = `'${exercise.board}'`
  const message = `board: found ${found}, allowed ${allowed}.`
  return [{ path: ['board'], code: 'board-unknown', found, allowed, nearest: null, message }]
}

/** Where a value stands: its name in a map, itself in a list. */
function placeAt(document: Document, path: Path, place: (from: number, to: number) => Place): Place | null {
  let node: unknown = document.contents
  let range: readonly [number, number, number] | null | undefined = isNode(node) ? node.range : null
  for (const part of path) {
    if (isAlias(node)) node = node.resolve(document)
    if (isMap(node)) {
      const pair = node.items.find(({ key }) => isScalar(key) && String(key.value) === String(part))
      if (pair === undefined) return null
      range = isNode(pair.key) ? pair.key.range : null
      node = pair.value
    } else if (isSeq(node) && typeof part === 'number') {
      node = node.items[part]
      if (!isNode(node)) return null
      range = (node as Node).range
    } else return null
  }
  return range ? place(range[0], range[1]) : null
}
