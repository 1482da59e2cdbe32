import type { SeenDigit } from '../worker/protocol.ts'

/** The display in one short sentence: `4000  3E, steady`, `1234, digit 2 flickers`, `dark`. */
export function digitsInWords(digits: readonly SeenDigit[]): string {
  if (digits.length === 0) return 'off'
  if (digits.every((digit) => digit.state === 'dark')) return 'dark'
  const text = digits
    .map((digit) => (digit.state === 'dark' ? ' ' : digit.glyph))
    .join('')
    .trim()
  const restless = digits.flatMap(({ state }, at) =>
    state === 'steady' || state === 'dark' ? [] : [`digit ${at + 1} ${state}`],
  )
  return `${text}, ${restless.length === 0 ? 'steady' : restless.join(', ')}`
}
