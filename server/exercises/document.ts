import { isMap, LineCounter, parseDocument, type Document, type Node } from 'yaml'
import {
  boardMisfits,
  exerciseDigest,
  parseExercise,
  placeProblems,
  type DocumentProblem,
  type Exercise,
  type Path,
} from '../../core/exercise/index.ts'
import type { Place } from '../../core/image/index.ts'
import type { Fault } from '../contract/index.ts'
import { boards } from '../engine.ts'
import { ApiError } from '../errors.ts'
import type { RevisionData } from '../store/exercises.ts'

/** Reads the YAML text of an exercise; throws one coded error with all mistakes in it, each with line and pointer. */
export function readDocument(source: string): { readonly exercise: Exercise; readonly revision: RevisionData } {
  const lines = new LineCounter()
  const document = parseDocument(source, { lineCounter: lines, prettyErrors: false, version: '1.2' })
  if (document.errors.length > 0)
    throw wrong(
      document.errors.map(({ message, pos }) => {
        const { line, col } = lines.linePos(pos[0])
        return { pointer: '', message, code: 'yaml', line, column: col }
      }),
    )
  const read = parseExercise(toPlain(document))
  if (!read.isOk) throw wrong(toFaults(read.problems, document, lines))
  const { exercise } = read
  const profile = boards.get(exercise.board)
  if (profile === undefined)
    throw new ApiError(
      'board-unknown',
      `The exercise names '${exercise.board}'; installed: ${[...boards.keys()].join(', ')}.`,
    )
  const misfits = boardMisfits(exercise, profile)
  if (misfits.length > 0) throw wrong(toFaults(misfits, document, lines))
  return {
    exercise,
    revision: {
      code: exercise.id,
      title: exercise.title,
      summary: firstSentence(exercise.brief),
      boardId: exercise.board,
      source,
      document: exercise,
      digest: exerciseDigest(exercise),
    },
  }
}

function toPlain(document: Document): unknown {
  try {
    return document.toJS({ maxAliasCount: 50 })
  } catch (error) {
    // Aliases that multiply, or that point nowhere.
    throw wrong([{ pointer: '', message: (error as Error).message, code: 'yaml', line: 1, column: 1 }])
  }
}

function wrong(faults: readonly Fault[]): ApiError {
  const count = faults.length === 1 ? 'one mistake' : `${faults.length} mistakes`
  return new ApiError('exercise-document-wrong', `The document has ${count}: ${faults[0]?.message ?? ''}`, { faults })
}

function toFaults(problems: readonly DocumentProblem[], document: Document, lines: LineCounter): Fault[] {
  const placed = placeProblems(problems, (path) => placeIn(document, lines, path))
  return problems.map((problem, i) => ({
    pointer: problem.path.map((part) => `/${String(part).replaceAll('~', '~0').replaceAll('/', '~1')}`).join(''),
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
