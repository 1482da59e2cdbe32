import { isAlias, isMap, isNode, isScalar, isSeq, LineCounter, parseDocument, type Document, type Node } from 'yaml'
import type { BoardProfile } from '../../../core/board/index.ts'
import { boardMisfits, parseExercise, placeProblems, type Exercise, type Path } from '../../../core/exercise/index.ts'
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
  const place = (from: number, to: number): Place => {
    const { line, col } = lines.linePos(from)
    return { line: Math.max(line, 1), column: Math.max(col, 1), length: Math.max(1, to - from) }
  }
  if (document.errors.length > 0)
    return {
      exercise: null,
      problems: document.errors.map(({ message, pos }) => ({
        severity: 'error',
        code: 'not-yaml',
        at: place(pos[0], pos[1]),
        found: 'text that is no YAML',
        allowed: 'a YAML document',
        message,
      })),
    }
  const parsed = parseExercise(document.toJS({ maxAliasCount: 100 }) as unknown)
  const board = boards.find((each) => each.id === parsed.exercise?.board)
  const problems = parsed.isOk && board ? boardMisfits(parsed.exercise, board) : parsed.problems
  return {
    exercise: problems.length === 0 ? parsed.exercise : null,
    problems: placeProblems(problems, (path) => placeAt(document, path, place)),
  }
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
