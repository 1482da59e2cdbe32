import type { Addr, Byte } from '../cpu/index.ts'

/** Two capital hexadecimal digits, no mark: `0A`. Takes the low 8 bits. */
export function byteDigits(value: Byte): string {
  return (value & 0xff).toString(16).toUpperCase().padStart(2, '0')
}

/** Four capital hexadecimal digits, no mark: `04FE`. Takes the low 16 bits. */
export function wordDigits(value: Addr): string {
  return (value & 0xffff).toString(16).toUpperCase().padStart(4, '0')
}

/** A byte as people read it in a sentence: `1Fh`. */
export function showByte(value: Byte): string {
  return `${byteDigits(value)}h`
}

/** An address or word as people read it in a sentence: `4000h`. */
export function showWord(value: Addr): string {
  return `${wordDigits(value)}h`
}

/** An inclusive range of addresses in words: `4000h`, or `4000h to 4007h`. */
export function showRange(from: Addr, to: Addr): string {
  return from === to ? showWord(from) : `${showWord(from)} to ${showWord(to)}`
}

/** `1 byte`, `2 bytes`, `4,096 bytes`: a count with its noun, thousands parted by commas. */
export function showCount(count: number, noun: string): string {
  return `${String(count).replace(/\B(?=(\d{3})+$)/g, ',')} ${noun}${count === 1 ? '' : 's'}`
}

/** A character as a message names it: `'G'`, `'“' (U+201C)`; blanks and controls by their code alone. */
export function showCharacter(character: string): string {
  const code = character.codePointAt(0) ?? 0
  if (code > 0x20 && code < 0x7f) return `'${character}'`
  const name = `U+${code.toString(16).toUpperCase().padStart(4, '0')}`
  if (code === 0xa0) return `a no-break space (${name})`
  if (code === 0x09) return `a tab (${name})`
  return code < 0xa0 || (code >= 0xd800 && code < 0xe000) || code === 0xfeff ? name : `'${character}' (${name})`
}
