import type { Stage } from '../../../trial/index.ts'
import { linesFor, type CaseResult } from './case-result.ts'
import { valueOf, type InputPlace } from './inputs.ts'

interface SeenCase {
  readonly stage: Stage
  readonly result: CaseResult
}

/** Longer lists look like work. */
const most = 24

/**
 * A program that tells the cases by the fewest inputs and leaves what each wants; the last one's where none fits. Null where
 * there are fewer than two, or no input tells them.
 */
export function lookUpLines(
  cases: readonly SeenCase[],
  places: readonly InputPlace[],
  label: () => string,
  end: string,
): readonly string[] | null {
  const keys = tellingPlaces(cases, places)
  if (cases.length < 2 || cases.length > most || keys === null) return null
  const data: string[] = []
  const lines = cases.flatMap(({ stage, result }, i) => {
    const { lines: leaving, data: more } = linesFor(result, label)
    data.push(...more)
    if (i === cases.length - 1) return [...leaving, end]
    const next = label()
    return [...keys.flatMap((place) => comparing(place, valueOf(stage, place), next)), ...leaving, end, `${next}:`]
  })
  // A is what everything is compared in.
  const saved = keys.some(({ register }) => register === 'a') ? [' LD IXH,A'] : []
  return [...saved, ...lines, ...data]
}

function comparing(place: InputPlace, value: number, next: string): readonly string[] {
  const parts =
    place.register === null
      ? Array.from({ length: place.width }, (_, i) => `LD A,(${place.at + i})`)
      : halvesOf(place.register).map((half) => `LD A,${half}`)
  return parts.flatMap((load, i) => [` ${load}`, ` CP ${(value >> (8 * i)) & 0xff}`, ` JP NZ,${next}`])
}

/** Low half first. */
function halvesOf(register: string): readonly string[] {
  const name = register.toUpperCase()
  if (name === 'A') return ['IXH']
  if (name === 'IX' || name === 'IY') return [`${name}L`, `${name}H`]
  return [...name].toReversed()
}

/** The fewest places, taken one by one, that have other values in any two cases. */
function tellingPlaces(cases: readonly SeenCase[], places: readonly InputPlace[]): readonly InputPlace[] | null {
  const taken: InputPlace[] = []
  const kinds = (some: readonly InputPlace[]): number =>
    new Set(cases.map(({ stage }) => some.map((place) => valueOf(stage, place)).join())).size
  while (kinds(taken) < cases.length) {
    const best = places.toSorted((a, b) => kinds([...taken, b]) - kinds([...taken, a]))[0]
    if (best === undefined || kinds([...taken, best]) === kinds(taken)) return null
    taken.push(best)
  }
  return taken.length === 0 ? null : taken
}
