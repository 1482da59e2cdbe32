import { ApiError } from '../errors.ts'

export function requireTimeZone(name: string): void {
  try {
    new Intl.DateTimeFormat('en', { timeZone: name })
  } catch {
    throw new ApiError('time-zone-unknown', `Found '${name}', allowed an IANA name such as Europe/Berlin.`)
  }
  // The library takes offsets too; they know no summer time.
  if (/^[+-]/.test(name)) throw new ApiError('time-zone-unknown', `Found the offset '${name}', allowed an IANA name.`)
}
