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
import type { BoardProfile } from '../../core/board/index.ts'
import { documentWarnings } from '../../core/grading/index.ts'
import type { Place } from '../../core/image/index.ts'
import type { Fault } from '../contract/index.ts'
import { boards } from '../engine.ts'
import { ApiError } from '../errors.ts'
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
  | {
      readonly isOk: false
      readonly code: 'exercise-document-wrong' | 'board-unknown'
      readonly faults: readonly Fault[]
    }

/** Reads the YAML (or JSON) text of an exercise. `files` holds the texts that stand beside it, by name. */
export function readExerciseText(source: string, files: Readonly<Record<string, string>> = {}): DocumentReading {
  const wrong = (faults: readonly Fault[]): DocumentReading => ({
    isOk: false,
    code: 'exercise-document-wrong',
    faults,
  })
  const lines = new LineCounter()
  const document = parseDocument(source, { lineCounter: lines, prettyErrors: false, version: '1.2' })
  if (document.errors.length > 0)
    return wrong(
      document.errors.map(({ message, pos }) => {
        const { line, col } = lines.linePos(pos[0])
        return { pointer: '', message, code: 'yaml', line, column: col }
      }),
    )
  let plain: unknown
  try {
    plain = document.toJS({ maxAliasCount: 50 })
  } catch (error) {
    // Aliases that multiply, or that point nowhere.
    return wrong([{ pointer: '', message: (error as Error).message, code: 'yaml', line: 1, column: 1 }])
  }
  const read = parseExercise(plain, files)
  if (!read.isOk) return wrong(toFaults(read.problems, document, lines))
  const { exercise } = read
  const profile = boards.get(exercise.board)
  if (profile === undefined) {
    const message = `The exercise names '${exercise.board}'; installed: ${[...boards.keys()].join(', ')}.`
    const at = placeIn(document, lines, ['board'])
    const place = { line: at?.line ?? 1, column: at?.column ?? 1 }
    return {
      isOk: false,
      code: 'board-unknown',
      faults: [{ pointer: '/board', message, code: 'board-unknown', ...place }],
    }
  }
  const misfits = boardMisfits(exercise, profile)
  if (misfits.length > 0) return wrong(toFaults(misfits, document, lines))
  const warnings = (): readonly Fault[] => toFaults(documentWarnings(exercise, profile), document, lines)
  return { isOk: true, exercise, profile, warnings }
}

/** The same for the API: throws one coded error with all mistakes in it. */
export function readDocument(source: string): { readonly exercise: Exercise; readonly revision: RevisionData } {
  const read = readExerciseText(source)
  if (!read.isOk) {
    const first = read.faults[0]?.message ?? ''
    if (read.code === 'board-unknown') throw new ApiError('board-unknown', first)
    const count = read.faults.length === 1 ? 'one mistake' : `${read.faults.length} mistakes`
    throw new ApiError('exercise-document-wrong', `The document has ${count}: ${first}`, { faults: [...read.faults] })
  }
  const { exercise } = read
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
