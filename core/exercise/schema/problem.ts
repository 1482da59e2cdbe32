import type { Place, Problem } from '../../image/index.ts'

/** The way to a value in a document: field names and places in lists, counted from 0. */
export type Path = readonly (string | number)[]

/** A mistake in an exercise document. A value, never thrown: one wrong field does not hide the others. */
export interface DocumentProblem {
  readonly path: Path
  /** Stable kebab-case name: `unknown-field`, `unknown-kind`, `missing`, `wrong-value`, `marks`, `duplicate`, `dangling`. */
  readonly code: string
  /** What stands there, as a reader would write it. */
  readonly found: string
  /** What may stand there, in words. */
  readonly allowed: string
  /** The allowed spelling nearest to what was found, where one is near enough. */
  readonly nearest: string | null
  /** Path, found, allowed and nearest as one sentence. */
  readonly message: string
}

/** Takes in problems while a document is read. */
export type Report = (problem: DocumentProblem) => void

/** Problems of one document that are told; the rest is counted. Nobody mends more than these before reading again. */
export const mostTold = 50

/** Takes in the problems of one document: each once, the first `mostTold` as they are, the others as a number. */
export interface ProblemCollector {
  readonly report: Report
  readonly problems: readonly DocumentProblem[]
  readonly untold: number
}

export function collectProblems(): ProblemCollector {
  const problems: DocumentProblem[] = []
  const seen = new Set<string>()
  return {
    report: (problem) => {
      if (seen.has(problem.message)) return
      seen.add(problem.message)
      if (problems.length < mostTold) problems.push(problem)
    },
    problems,
    get untold() {
      return seen.size - problems.length
    },
  }
}

/** `checks[2].group`, or `the document` for the empty path. */
export function pathText(path: Path): string {
  if (path.length === 0) return 'the document'
  return path.map((part, i) => (typeof part === 'number' ? `[${part}]` : i === 0 ? part : `.${part}`)).join('')
}

/** What a value looks like in a message, cut after 40 characters. */
export function foundText(value: unknown): string {
  if (value === undefined) return 'nothing'
  if (Array.isArray(value)) return value.length === 0 ? 'an empty list' : `a list of ${value.length}`
  if (typeof value === 'object' && value !== null) return 'a group of fields'
  const text = typeof value === 'string' ? `'${value}'` : String(value)
  return text.length > 40 ? `${text.slice(0, 40)}…` : text
}

/** A problem with its sentence made from its parts. */
export function documentProblem(
  path: Path,
  code: string,
  found: string,
  allowed: string,
  nearest: string | null = null,
): DocumentProblem {
  const hint = nearest === null ? '' : ` Did you mean '${nearest}'?`
  return {
    path,
    code,
    found,
    allowed,
    nearest,
    message: `${pathText(path)}: found ${found}, allowed ${allowed}.${hint}`,
  }
}

/** The choice with the fewest single-character edits to `word`, if at most a third of its letters (at least 1) differ. */
export function nearestSpelling(word: string, choices: readonly string[]): string | null {
  let best: string | null = null
  let bestDistance = Infinity
  for (const choice of choices) {
    const distance = editDistance(word.toLowerCase(), choice.toLowerCase())
    if (distance < bestDistance) [best, bestDistance] = [choice, distance]
  }
  return best !== null && bestDistance <= Math.max(1, Math.floor(Math.max(word.length, best.length) / 3)) ? best : null
}

/** Insertions, deletions, replacements and swaps of neighbours (optimal string alignment). */
function editDistance(a: string, b: string): number {
  let before: number[] = []
  let above = Array.from({ length: b.length + 1 }, (_, j) => j)
  for (let i = 1; i <= a.length; i++) {
    const row = [i]
    for (let j = 1; j <= b.length; j++) {
      const cost = a[i - 1] === b[j - 1] ? 0 : 1
      let value = Math.min((row[j - 1] ?? 0) + 1, (above[j] ?? 0) + 1, (above[j - 1] ?? 0) + cost)
      if (i > 1 && j > 1 && a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) {
        value = Math.min(value, (before[j - 2] ?? 0) + 1)
      }
      row.push(value)
    }
    before = above
    above = row
  }
  return above[b.length] ?? 0
}

/**
 * The same problems with their place in the author's text. `placeOf` answers where the value at a path stands (from the
 * reader's syntax tree), or null where it does not stand in the text, as for a missing field; then the nearest enclosing
 * value's place is taken, and line 1 at last.
 */
export function placeProblems(
  problems: readonly DocumentProblem[],
  placeOf: (path: Path) => Place | null,
): readonly Problem[] {
  return problems.map((problem) => ({
    severity: 'error' as const,
    code: problem.code,
    at: placeWithin(problem.path, placeOf),
    found: problem.found,
    allowed: problem.allowed,
    message: problem.message,
  }))
}

function placeWithin(path: Path, placeOf: (path: Path) => Place | null): Place {
  for (let depth = path.length; depth >= 0; depth--) {
    const place = placeOf(path.slice(0, depth))
    if (place !== null) return place
  }
  return { line: 1, column: 1, length: 1 }
}
