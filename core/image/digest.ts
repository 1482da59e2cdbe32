import type { Image } from './image.ts'

// FIPS 180-4, 4.2.2 and 5.3.3: the first 32 bits of the fractional parts of the cube roots of the first 64 primes, and of
// the square roots of the first 8. Whole-number arithmetic, because the language does not promise the last bit of Math.cbrt.
const primes = firstPrimes(64)
const roundConstants = Uint32Array.from(primes, (p) => rootFraction(p, 3n))
const startState = Uint32Array.from(primes.slice(0, 8), (p) => rootFraction(p, 2n))

function firstPrimes(count: number): number[] {
  const found: number[] = []
  for (let n = 2; found.length < count; n += 1) if (found.every((p) => n % p !== 0)) found.push(n)
  return found
}

/** The 32 bits after the binary point of the `degree`-th root of `p`. */
function rootFraction(p: number, degree: bigint): number {
  const target = BigInt(p) << (32n * degree)
  let root = 0n
  for (let bit = 1n << 37n; bit > 0n; bit >>= 1n) if ((root + bit) ** degree <= target) root += bit
  return Number(root & 0xffffffffn)
}

/** SHA-256 (FIPS 180-4) of bytes, as 64 small hexadecimal digits. */
export function sha256(bytes: Uint8Array): string {
  const blocks = Math.ceil((bytes.length + 9) / 64)
  const padded = new Uint8Array(blocks * 64)
  padded.set(bytes)
  padded[bytes.length] = 0x80
  const view = new DataView(padded.buffer)
  view.setUint32(padded.length - 8, Math.floor(bytes.length / 0x20000000))
  view.setUint32(padded.length - 4, (bytes.length << 3) >>> 0)

  const state = Uint32Array.from(startState)
  const schedule = new Uint32Array(64)
  for (let block = 0; block < blocks; block += 1) hashBlock(view, block * 64, schedule, state)
  return Array.from(state, (word) => word.toString(16).padStart(8, '0')).join('')
}

function hashBlock(view: DataView, offset: number, schedule: Uint32Array, state: Uint32Array): void {
  for (let i = 0; i < 16; i += 1) schedule[i] = view.getUint32(offset + i * 4)
  for (let i = 16; i < 64; i += 1) {
    const w15 = schedule[i - 15] ?? 0
    const w2 = schedule[i - 2] ?? 0
    const s0 = rotate(w15, 7) ^ rotate(w15, 18) ^ (w15 >>> 3)
    const s1 = rotate(w2, 17) ^ rotate(w2, 19) ^ (w2 >>> 10)
    schedule[i] = (schedule[i - 16] ?? 0) + s0 + (schedule[i - 7] ?? 0) + s1
  }
  let [a = 0, b = 0, c = 0, d = 0, e = 0, f = 0, g = 0, h = 0] = state
  for (let i = 0; i < 64; i += 1) {
    const sum1 = rotate(e, 6) ^ rotate(e, 11) ^ rotate(e, 25)
    const t1 = (h + sum1 + ((e & f) ^ (~e & g)) + (roundConstants[i] ?? 0) + (schedule[i] ?? 0)) | 0
    const sum0 = rotate(a, 2) ^ rotate(a, 13) ^ rotate(a, 22)
    const t2 = (sum0 + ((a & b) ^ (a & c) ^ (b & c))) | 0
    h = g
    g = f
    f = e
    e = (d + t1) | 0
    d = c
    c = b
    b = a
    a = (t1 + t2) | 0
  }
  const next = [a, b, c, d, e, f, g, h]
  for (let i = 0; i < 8; i += 1) state[i] = (state[i] ?? 0) + (next[i] ?? 0)
}

function rotate(word: number, by: number): number {
  return (word >>> by) | (word << (32 - by))
}

/**
 * SHA-256 over an image's canonical bytes: for each segment in ascending order its start (2 bytes, high first), its length
 * (4 bytes, high first) and its bytes. Two texts with the same digest load the same bytes at the same addresses.
 */
export function imageDigest(image: Image): string {
  const size = image.segments.reduce((sum, segment) => sum + 6 + segment.bytes.length, 0)
  const canonical = new Uint8Array(size)
  const view = new DataView(canonical.buffer)
  let at = 0
  for (const { start, bytes } of image.segments) {
    view.setUint16(at, start)
    view.setUint32(at + 2, bytes.length)
    canonical.set(bytes, at + 6)
    at += 6 + bytes.length
  }
  return sha256(canonical)
}
