/**
 * Undoes `pack` of generate/pack.ts: `length` bytes from a text with one letter for each packed byte, U+0100 to U+01FF. In a
 * process that has just begun every round of a loop is dear: for the interpreter these are an eighth of the letters of
 * Base64, and a third of the time.
 */
export function unpack(text: string, length: number): Uint8Array {
  const bytes = new Uint8Array(length)
  let at = 0
  let to = 0
  const number = () => {
    let value = 0
    for (let shift = 0; ; shift += 7) {
      const byte = text.charCodeAt(at) & 0xff
      at += 1
      value |= (byte & 0x7f) << shift
      if (byte < 0x80) return value
    }
  }
  for (;;) {
    for (const end = to + number(); to < end; to += 1, at += 1) bytes[to] = text.charCodeAt(at)
    if (to >= length) return bytes
    const again = number()
    const from = to - number()
    bytes.copyWithin(to, from, from + again)
    to += again
  }
}
