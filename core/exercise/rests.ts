import type { Exercise } from './exercise.ts'

type Marked = Pick<Exercise, 'groups' | 'checks'>

/** The checks that a check rests on, by itself or through its group; a group stands for all its checks. Each once. */
export function restedOn(
  { groups, checks }: Marked,
  check: Marked['checks'][number],
): readonly Marked['checks'][number][] {
  const named = [...(groups.find(({ id }) => id === check.group)?.restsOn ?? []), ...check.restsOn]
  return checks.filter(({ id, group }) => named.includes(id) || named.includes(group))
}

/** A check that comes to rest on itself, by way of others; null where none does. */
export function restingOnItself(of: Marked): string | null {
  const settled = new Set<string>()
  const visit = (check: Marked['checks'][number], under: readonly string[]): string | null => {
    if (under.includes(check.id)) return check.id
    if (settled.has(check.id)) return null
    for (const each of restedOn(of, check)) {
      const found = visit(each, [...under, check.id])
      if (found !== null) return found
    }
    settled.add(check.id)
    return null
  }
  for (const check of of.checks) {
    const found = visit(check, [])
    if (found !== null) return found
  }
  return null
}
