/** One digit as an eye sees it. */
export interface SeenDigit {
  /** Bit 0 = a … 6 = g, 7 = point. */
  readonly segments: number
  readonly glyph: string
  readonly state: 'steady' | 'flickers' | 'blinks' | 'dark' | 'ghosted'
}

const verbs = {
  flickers: ['flickers', 'flicker'],
  blinks: ['blinks', 'blink'],
  ghosted: ['is ghosted', 'are ghosted'],
} as const

/** The display in one short sentence: `4000  3E, steady`, `DEPOT 37, all flicker`, `1234, digits 2 and 3 blink`, `dark`. */
export function displayWords(digits: readonly SeenDigit[]): string {
  const lit = digits.filter((digit) => digit.state !== 'dark')
  if (lit.length === 0) return 'dark'
  const text = digits.map((digit) => (digit.state === 'dark' ? ' ' : digit.glyph)).join('')
  const parts = (['flickers', 'blinks', 'ghosted'] as const).flatMap((state) => {
    const places = digits.flatMap((digit, at) => (digit.state === state ? [String(at + 1)] : []))
    const [one, several] = verbs[state]
    if (places.length === 0) return []
    if (places.length === lit.length && lit.length > 1) return [`all ${several}`]
    return [places.length === 1 ? `digit ${places[0]} ${one}` : `digits ${listed(places)} ${several}`]
  })
  return `${text.trim()}, ${parts.length === 0 ? 'steady' : parts.join(', ')}`
}

function listed(names: readonly string[]): string {
  return `${names.slice(0, -1).join(', ')} and ${names.at(-1) ?? ''}`
}
