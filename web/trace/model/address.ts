/** Where a trace stands, as an address can carry it: which case, and after how many instructions. */
export interface Locator {
  readonly caseId: string | null
  readonly step: number | null
}

/** From `?case=…&step=…`. A step that is no whole number from 0 up reads as none. */
export function readLocator(search: string): Locator {
  const parameters = new URLSearchParams(search)
  const step = parameters.get('step')
  return {
    caseId: parameters.get('case'),
    step: step !== null && /^\d{1,12}$/.test(step) ? Number(step) : null,
  }
}

/** The same query with this place in it; what else it carries stays. */
export function writeLocator(search: string, locator: Locator): string {
  const parameters = new URLSearchParams(search)
  if (locator.caseId === null) parameters.delete('case')
  else parameters.set('case', locator.caseId)
  if (locator.step === null) parameters.delete('step')
  else parameters.set('step', String(locator.step))
  const text = parameters.toString()
  return text === '' ? '' : `?${text}`
}
