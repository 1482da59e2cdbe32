/**
 * `4700`, `4700h`, `0x4700` or the name of a label (upper and lower case alike). Digits alone are hexadecimal: on a bare
 * board every address is. Null for anything else and above FFFF.
 */
export function parseAddress(text: string, symbols: Readonly<Record<string, number>>): number | null {
  const trimmed = text.trim()
  const named = Object.entries(symbols).find(([name]) => name.toUpperCase() === trimmed.toUpperCase())
  if (named !== undefined) return named[1] & 0xffff
  const digits = /^(?:0x|\$)?([0-9a-f]{1,5})h?$/i.exec(trimmed)?.[1]
  if (digits === undefined) return null
  const value = Number.parseInt(digits, 16)
  return value > 0xffff ? null : value
}
