import type { Check, Exercise } from '../exercise/index.ts'
import type { Decided } from './decide.ts'
import type { CheckMarks } from './marks.ts'

/** The sentences under a check: what was found, how much of it is right, and from when on it counts. */
export function messageOf(
  exercise: Exercise,
  check: Check,
  found: Decided | undefined,
  share: string | null,
  { counts, heldBy }: CheckMarks,
): string {
  if (found === undefined) return 'Not reached.'
  const isPassed = found.outcome === 'passed'
  const parts = [found.message]
  if (!isPassed && share !== null) parts.push(`${share}.`)
  if (!isPassed && check.note !== null) parts.push(check.note)
  if (counts < 1 && (isPassed || check.credit !== 'whole')) parts.push(heldText(exercise, heldBy, counts))
  return parts.join(' ')
}

/** From when on a check counts, by the titles of those that hold it back. */
function heldText(exercise: Exercise, heldBy: readonly string[], counts: number): string {
  const held = exercise.checks.filter(({ id }) => heldBy.includes(id))
  const shown = held.filter(({ visible }) => visible).map(({ title }) => `“${title}”`)
  const titles = [...shown, ...(held.length > shown.length ? ['a hidden check'] : [])]
  const named = titles.length < 2 ? (titles[0] ?? '') : `${titles.slice(0, -1).join(', ')} and ${titles.at(-1)}`
  const isOne = titles.length < 2
  return counts === 0
    ? `It counts once ${named} ${isOne ? 'is' : 'are'} right.`
    : `It counts in full once half of ${named} is right; so far ${Math.round(counts * 100)} % of its marks count.`
}
