import type { Span } from './span.ts'

/** Where a trace stands, as an address can carry it: which case, after how many instructions, and what of it is in view. */
export interface Locator {
  readonly caseId: string | null
  readonly step: number | null
  /** Which values stood in what nothing sets, as in a report's decision; left out for those that the report names for the case. */
  readonly start?: number | undefined
  /** The window on the time axis and the marked stretch, in T-states; null for the whole run, and for none. */
  readonly window: Span | null
  readonly marked: Span | null
}

/** From `?case=…&step=…&window=…&marked=…`. What is no whole number reads as none; a start alone may be below 0. */
export function readLocator(search: string): Locator {
  const parameters = new URLSearchParams(search)
  const step = parameters.get('step')
  const start = parameters.get('start')
  return {
    caseId: parameters.get('case'),
    step: step !== null && /^\d{1,12}$/.test(step) ? Number(step) : null,
    ...(start !== null && /^-?\d{1,9}$/.test(start) ? { start: Number(start) } : {}),
    window: readSpan(parameters.get('window')),
    marked: readSpan(parameters.get('marked')),
  }
}

/** The same query with this place in it; what else it carries stays. Nothing in it needs to be read aloud: `?case=a&step=7`. */
export function writeLocator(search: string, locator: Locator): string {
  const parameters = new URLSearchParams(search)
  const set = (name: string, value: string | null) => {
    if (value === null) parameters.delete(name)
    else parameters.set(name, value)
  }
  set('case', locator.caseId)
  set('step', locator.step === null ? null : String(locator.step))
  set('start', locator.start === undefined ? null : String(locator.start))
  set('window', writeSpan(locator.window))
  set('marked', writeSpan(locator.marked))
  const text = parameters.toString()
  return text === '' ? '' : `?${text}`
}

/** `100-2500`, the second number excluded. */
function readSpan(text: string | null): Span | null {
  const [, from, to] = /^(\d{1,12})-(\d{1,12})$/.exec(text ?? '') ?? []
  return from === undefined || to === undefined || Number(to) <= Number(from)
    ? null
    : { from: Number(from), to: Number(to) }
}

function writeSpan(span: Span | null): string | null {
  return span === null ? null : `${Math.floor(span.from)}-${Math.ceil(span.to)}`
}
