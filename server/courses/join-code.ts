import { randomInt } from 'node:crypto'

/** No 0/O, 1/I/L, 2/Z, 5/S, 8/B, U/V: codes are read from a blackboard. */
const letters = 'ACDEFGHJKMNPQRTWXY34679'

/** Eight letters and digits, as in `KXQ4-7TMD`: about 36 bits, and attempts are limited. */
export function makeJoinCode(): string {
  const draw = (): string => Array.from({ length: 4 }, () => letters[randomInt(letters.length)]).join('')
  return `${draw()}-${draw()}`
}

/** A code as somebody typed it: case, spaces and a missing dash do not matter. */
export function readJoinCode(text: string): string {
  const bare = text.toUpperCase().replace(/[\s-]/g, '')
  return `${bare.slice(0, 4)}-${bare.slice(4)}`
}
