import type { Survivor } from '../../../core/diagnosis/index.ts'

/** Survivors that are spoiled in the same way and that the same check would catch. */
export interface SurvivorGroup {
  readonly first: Survivor
  readonly others: readonly Survivor[]
}

/** One group a kind, in the order of their first ones. */
export function survivorGroups(survivors: readonly Survivor[]): readonly SurvivorGroup[] {
  const groups = new Map<string, Survivor[]>()
  for (const survivor of survivors) {
    const { check, plainCase, caseId, words } = survivor.suggestion
    const key = JSON.stringify([survivor.kind, caseId, check ?? words, plainCase])
    const group = groups.get(key)
    if (group === undefined) groups.set(key, [survivor])
    else group.push(survivor)
  }
  return [...groups.values()].flatMap(([first, ...others]) => (first === undefined ? [] : [{ first, others }]))
}
