/** Longest wait that is granted, in seconds: below the time after which proxies give up. */
export const longestWait = 30

/** Seconds a client will wait, from a Prefer header (RFC 7240 §4.3); null when it asks for none or for nonsense. */
export function waitPreferred(header: string | readonly string[] | undefined): number | null {
  if (header === undefined) return null
  const text = typeof header === 'string' ? header : header.join(',')
  for (const preference of text.split(',')) {
    const [token = ''] = preference.split(';')
    const [name = '', value = ''] = token.split('=').map((part) => part.trim())
    if (name.toLowerCase() !== 'wait') continue
    const digits = value.replace(/^"(.*)"$/, '$1')
    // The first of several counts (§2).
    return /^\d{1,9}$/.test(digits) ? Math.min(Number(digits), longestWait) : null
  }
  return null
}
