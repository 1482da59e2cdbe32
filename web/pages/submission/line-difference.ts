/** A line of two texts beside each other: in both, only in the earlier one, or only in the later one. */
export interface DifferenceLine {
  readonly kind: 'same' | 'gone' | 'new'
  readonly text: string
}

/** Where more lines than these were changed the texts are told as all gone and all new: the table would grow too large. */
const mostLines = 2000

/** The fewest lines gone and new that lead from one text to the other; blanks at the ends of lines do not count. */
export function lineDifference(before: string, after: string): readonly DifferenceLine[] {
  const [a, b] = [linesOf(before), linesOf(after)]
  let start = 0
  while (start < a.length && start < b.length && a[start] === b[start]) start += 1
  let end = 0
  while (end < a.length - start && end < b.length - start && a[a.length - 1 - end] === b[b.length - 1 - end]) end += 1
  const same = (lines: readonly string[]): DifferenceLine[] => lines.map((text) => ({ kind: 'same', text }))
  return [
    ...same(a.slice(0, start)),
    ...between(a.slice(start, a.length - end), b.slice(start, b.length - end)),
    ...same(a.slice(a.length - end)),
  ]
}

/** By the longest common subsequence. */
function between(a: readonly string[], b: readonly string[]): readonly DifferenceLine[] {
  const gone = (text: string): DifferenceLine => ({ kind: 'gone', text })
  const fresh = (text: string): DifferenceLine => ({ kind: 'new', text })
  if (a.length > mostLines || b.length > mostLines) return [...a.map(gone), ...b.map(fresh)]
  const wide = b.length + 1
  const longest = new Uint16Array((a.length + 1) * wide)
  const at = (i: number, j: number) => longest[i * wide + j] ?? 0
  for (let i = a.length - 1; i >= 0; i -= 1)
    for (let j = b.length - 1; j >= 0; j -= 1)
      longest[i * wide + j] = a[i] === b[j] ? at(i + 1, j + 1) + 1 : Math.max(at(i + 1, j), at(i, j + 1))
  const lines: DifferenceLine[] = []
  let [i, j] = [0, 0]
  while (i < a.length || j < b.length) {
    const [left, right] = [a[i], b[j]]
    if (left !== undefined && left === right) {
      lines.push({ kind: 'same', text: left })
      i += 1
      j += 1
    } else if (left !== undefined && (right === undefined || at(i + 1, j) >= at(i, j + 1))) {
      lines.push(gone(left))
      i += 1
    } else if (right !== undefined) {
      lines.push(fresh(right))
      j += 1
    }
  }
  return lines
}

function linesOf(text: string): readonly string[] {
  return text
    .replace(/\r?\n$/, '')
    .split(/\r?\n/)
    .map((line) => line.trimEnd())
}
