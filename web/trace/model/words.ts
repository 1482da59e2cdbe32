/** The notation of the trade: four digits and `h`. */
export function hexWord(value: number): string {
  return `${(value & 0xffff).toString(16).toUpperCase().padStart(4, '0')}h`
}

export function hexByte(value: number): string {
  return `${(value & 0xff).toString(16).toUpperCase().padStart(2, '0')}h`
}

/** Bytes as a hex dump writes them, without the `h`. */
export function hexBytes(bytes: readonly number[] | Uint8Array): string {
  return Array.from(bytes, (byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join(' ')
}

/** `1,423,000` */
export function grouped(count: number): string {
  return Math.round(count)
    .toString()
    .replace(/\B(?=(\d{3})+(?!\d))/g, ',')
}

/** A time in the unit that leaves one to three digits before the point: `12.4 µs`, `812 ms`, `2.05 s`. */
export function clockTime(tStates: number, clockHz: number): string {
  const seconds = tStates / clockHz
  const size = Math.abs(seconds)
  if (size >= 1) return `${trimmed(seconds, 3)} s`
  if (size >= 1e-3) return `${trimmed(seconds * 1e3, size >= 0.1 ? 1 : 2)} ms`
  return `${trimmed(seconds * 1e6, 1)} µs`
}

function trimmed(value: number, places: number): string {
  const text = value.toFixed(places)
  return text.includes('.') ? text.replace(/\.?0+$/, '') : text
}

export function frequency(hz: number): string {
  return hz >= 10_000 ? `${trimmed(hz / 1000, 2)} kHz` : `${trimmed(hz, 1)} Hz`
}

/** Bits of F from the left, as the manual orders them. X and Y are the two bits without a name in it (5 and 3). */
export const flagLetters = ['S', 'Z', 'Y', 'H', 'X', 'P', 'N', 'C'] as const
export type FlagLetter = (typeof flagLetters)[number]

const flagMeanings: Readonly<Record<FlagLetter, readonly [set: string, clear: string]>> = {
  S: ['negative', 'positive'],
  Z: ['zero', 'not zero'],
  Y: ['bit 5 set', 'bit 5 clear'],
  H: ['half carry', 'no half carry'],
  X: ['bit 3 set', 'bit 3 clear'],
  P: ['even parity or overflow', 'odd parity or no overflow'],
  N: ['last was a subtraction', 'last was no subtraction'],
  C: ['carry', 'no carry'],
}

export interface Flag {
  readonly letter: FlagLetter
  readonly isSet: boolean
  readonly meaning: string
}

export function flagsOf(af: number): readonly Flag[] {
  return flagLetters.map((letter, place) => {
    const isSet = ((af >> (7 - place)) & 1) === 1
    return { letter, isSet, meaning: flagMeanings[letter][isSet ? 0 : 1] }
  })
}

const segmentNames = ['a', 'b', 'c', 'd', 'e', 'f', 'g', 'point'] as const

/** `segments a b c`, `no segment`. */
export function segmentsLit(segments: number): string {
  const lit = segmentNames.filter((_, bit) => ((segments >> bit) & 1) === 1)
  return lit.length === 0 ? 'no segment' : `segments ${lit.join(' ')}`
}
