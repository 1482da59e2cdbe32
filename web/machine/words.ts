/** `996.8 Hz`, `12.35 kHz`: as many places as can be heard. */
export function frequency(hz: number): string {
  return hz >= 10_000 ? `${trimmed(hz / 1000, 2)} kHz` : `${trimmed(hz, 1)} Hz`
}

export function trimmed(value: number, places: number): string {
  return String(Number(value.toFixed(places)))
}

/** Bits of F from the left, as the manual orders them. Y and X are the two bits without a name in it (5 and 3). */
export const flagLetters = ['S', 'Z', 'Y', 'H', 'X', 'P', 'N', 'C'] as const
export type FlagLetter = (typeof flagLetters)[number]

const flagMeanings: Readonly<Record<FlagLetter, readonly [set: string, clear: string]>> = {
  S: ['negative', 'not negative'],
  Z: ['zero', 'not zero'],
  Y: ['bit 5 set', 'bit 5 clear'],
  H: ['half carry', 'no half carry'],
  X: ['bit 3 set', 'bit 3 clear'],
  P: ['parity even or overflow', 'parity odd or no overflow'],
  N: ['subtracted', 'not subtracted'],
  C: ['carry', 'no carry'],
}

export interface Flag {
  readonly letter: FlagLetter
  readonly isSet: boolean
  readonly meaning: string
}

/** From AF, of which the low byte is F. */
export function flagsOf(af: number): readonly Flag[] {
  return flagLetters.map((letter, place) => {
    const isSet = ((af >> (7 - place)) & 1) === 1
    return { letter, isSet, meaning: flagMeanings[letter][isSet ? 0 : 1] }
  })
}
