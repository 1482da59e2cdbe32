/** A stream of numbers that depends on its seed alone. */
export interface Draws {
  /** A whole number from `from` to `to`, both included. */
  between(from: number, to: number): number
}

/** A 32-bit number from any text (FNV-1a, public domain: Fowler, Noll, Vo). */
export function seedFrom(...parts: readonly (string | number)[]): number {
  let hash = 0x811c9dc5
  for (const character of parts.join('\u0000')) {
    hash = Math.imul(hash ^ (character.codePointAt(0) ?? 0), 0x01000193)
  }
  return hash >>> 0
}

/** Draws from a seed. Additive counter with a mixing step (the finaliser of MurmurHash3, public domain). */
export function drawsFrom(seed: number): Draws {
  let counter = seed >>> 0
  function next(): number {
    counter = (counter + 0x9e3779b9) >>> 0
    let mixed = counter
    mixed = Math.imul(mixed ^ (mixed >>> 16), 0x85ebca6b)
    mixed = Math.imul(mixed ^ (mixed >>> 13), 0xc2b2ae35)
    return (mixed ^ (mixed >>> 16)) >>> 0
  }
  return { between: (from, to) => from + (to <= from ? 0 : next() % (to - from + 1)) }
}
