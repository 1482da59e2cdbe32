/** Seven segments and their words. Bit 0 = a (top) … 6 = g (middle), 7 = the point, whatever a board's wiring. */

const names = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'point'] as const

/** Patterns for a digit row that shows a figure of ours (a score); what a board shows comes from the board. */
const patterns: Readonly<Record<string, number>> = {
  ...{ '0': 0x3f, '1': 0x06, '2': 0x5b, '3': 0x4f, '4': 0x66, '5': 0x6d, '6': 0x7d, '7': 0x07, '8': 0x7f, '9': 0x6f },
  ...{ ' ': 0x00, '-': 0x40 },
}

/** `segments b c`, `segments a b c and point`, `no segment`. */
export function segmentWords(segments: number): string {
  const lit = names.filter((_, bit) => (segments >> bit) & 1)
  if (lit.length === 0) return 'no segment'
  const letters = lit.filter((name) => name !== 'point')
  const point = lit.length > letters.length
  if (letters.length === 0) return 'point'
  return `${letters.length === 1 ? 'segment' : 'segments'} ${letters.join(' ')}${point ? ' and point' : ''}`
}

/** The patterns of a figure, right-aligned in `width` digits; a `.` lights the point of the digit before it. */
export function figureSegments(figure: string, width: number): readonly number[] {
  const digits: number[] = []
  for (const sign of figure) {
    const last = digits.length - 1
    if (sign === '.' && last >= 0) digits[last] = (digits[last] ?? 0) | 0x80
    else digits.push(patterns[sign] ?? 0x40)
  }
  return [...Array<number>(Math.max(0, width - digits.length)).fill(0), ...digits].slice(-width)
}
