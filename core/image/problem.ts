/** Where in a text something stands: line and column count from 1, `length` in characters (at least 1). */
export interface Place {
  readonly line: number
  readonly column: number
  readonly length: number
}

/**
 * A mistake in a text handed in. A value, never thrown: one bad line does not hide the others. `message` is a sentence
 * that a first-year student understands and says what was found, what was allowed and, where there is one, the spelling
 * that would have been taken.
 */
export interface Problem {
  readonly severity: 'error' | 'warning'
  /** Stable kebab-case name: `jr-out-of-range`, `odd-digit`, `bad-checksum`, `out-of-place`, `overlap`. */
  readonly code: string
  readonly at: Place
  readonly found: string
  readonly allowed: string
  readonly message: string
}
