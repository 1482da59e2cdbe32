import type { Byte } from '../../cpu/index.ts'

/** As far from their place bytes are looked for: written from one address too early or too late, or a word further. */
const farthest = 2

/**
 * How many wanted bytes do not stand in their place but nearby: in the place of another wanted one, or all of them the same
 * one or two places off. `heldAt` gives what stands `i` places behind the first wanted byte (before it where negative), and
 * null where the program did not put it there.
 */
export function countOutOfPlace(wanted: readonly Byte[], heldAt: (i: number) => Byte | null): number {
  const wrong = wanted.flatMap((value, i) => (heldAt(i) === value ? [] : [{ value, i }]))
  const left = wrong.map(({ i }) => heldAt(i))
  let exchanged = 0
  for (const { value } of wrong) {
    const found = left.indexOf(value)
    if (found < 0) continue
    left.splice(found, 1)
    exchanged += 1
  }
  let shifted = 0
  for (let by = -farthest; by <= farthest; by++) {
    if (by !== 0) shifted = Math.max(shifted, wrong.filter(({ value, i }) => heldAt(i + by) === value).length)
  }
  return Math.max(exchanged, shifted)
}
