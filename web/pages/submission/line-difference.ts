import { diffArrays } from 'diff'

/** A line of two texts beside each other: in both, only in the earlier one, or only in the later one. */
interface DifferenceLine {
  readonly kind: 'same' | 'gone' | 'new'
  readonly text: string
}

/** Where more lines than these were changed the texts are told as all gone and all new: it would take long, and say little. */
const mostChanged = 2000

/** The fewest lines gone and new that lead from one text to the other; blanks at the ends of lines do not count. */
export function lineDifference(before: string, after: string): readonly DifferenceLine[] {
  const [old, fresh] = [linesOf(before), linesOf(after)]
  const parts = diffArrays(old, fresh, { maxEditLength: mostChanged }) ?? [
    { value: old, removed: true, added: false },
    { value: fresh, removed: false, added: true },
  ]
  return parts.flatMap(({ value, removed, added }) =>
    value.map((text) => ({ kind: removed ? ('gone' as const) : added ? ('new' as const) : ('same' as const), text })),
  )
}

function linesOf(text: string): string[] {
  return text
    .replace(/\r?\n$/, '')
    .split(/\r?\n/)
    .map((line) => line.trimEnd())
}
