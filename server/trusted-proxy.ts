import { isIP } from 'node:net'

/**
 * Whose X-Forwarded-For and -Proto are believed: so many proxies, counted from this server; the machines with these
 * addresses; or, `null`, nobody's. "Everybody's" is not to be had: whoever reaches the port could then be any address.
 */
export type TrustedProxy = number | readonly string[] | null

/** What may be written. */
export const proxyForms = '0, the number of proxies in a row (1 to 9), or their addresses: 127.0.0.1, 10.0.0.0/8'

/** Reads HEXCAIRN_PROXY; `undefined` where it is none of the forms. */
export function readTrustedProxy(text: string): TrustedProxy | undefined {
  const words = text.trim()
  if (words === '' || words === '0') return null
  if (/^[1-9]$/.test(words)) return Number(words)
  const addresses = words.split(',').map((each) => each.trim())
  return addresses.every(isAddressOrNetwork) ? addresses : undefined
}

/** `10.0.0.7`, `::1` or a network in CIDR notation (RFC 4632): `10.0.0.0/8`. Not all addresses there are. */
function isAddressOrNetwork(text: string): boolean {
  const [address = '', bits, ...more] = text.split('/')
  const version = isIP(address)
  if (version === 0 || more.length > 0) return false
  if (bits === undefined) return true
  return /^\d{1,3}$/.test(bits) && Number(bits) >= 1 && Number(bits) <= (version === 4 ? 32 : 128)
}
