/** A copy of fewer bytes is not worth its two numbers. */
const shortest = 6
/** How many of the places that begin with the same four bytes are looked at, the nearest first. */
const mostPlaces = 64

/**
 * Bytes as a text that `unpack` reads fast: in turn some bytes as they are, and some that stand further in front already.
 * Each has its number before it, seven bits a byte, the last below 80H; a copy then has how far back it is. Copies do not
 * overlap what they make.
 */
export function pack(bytes: Uint8Array): string {
  const packed: number[] = []
  const number = (value: number) => {
    let rest = value
    for (; rest > 0x7f; rest >>>= 7) packed.push((rest & 0x7f) | 0x80)
    packed.push(rest)
  }
  const literal = (from: number, to: number) => {
    number(to - from)
    for (const byte of bytes.subarray(from, to)) packed.push(byte)
  }
  const places = new Map<string, number[]>()
  let from = 0
  for (let at = 0; at < bytes.length;) {
    const { place, length } = longest(bytes, at, places.get(keyAt(bytes, at)) ?? [])
    const isCopy = length >= shortest
    const next = isCopy ? at + length : at + 1
    if (isCopy) {
      literal(from, at)
      number(length)
      number(at - place)
      from = next
    }
    for (; at < next; at++) {
      const same = places.get(keyAt(bytes, at))
      if (same) same.push(at)
      else places.set(keyAt(bytes, at), [at])
    }
  }
  literal(from, bytes.length)
  return packed.map((byte) => String.fromCharCode(0x100 + byte)).join('')
}

const keyAt = (bytes: Uint8Array, at: number): string => bytes.subarray(at, at + 4).join()

function longest(bytes: Uint8Array, at: number, places: readonly number[]): { place: number; length: number } {
  let best = { place: 0, length: 0 }
  for (const place of places.slice(-mostPlaces).reverse()) {
    const most = Math.min(at - place, bytes.length - at)
    let length = 0
    while (length < most && bytes[place + length] === bytes[at + length]) length += 1
    if (length > best.length) best = { place, length }
  }
  return best
}
