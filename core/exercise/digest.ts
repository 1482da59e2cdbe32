import { sha256 } from '../image/index.ts'

/** SHA-256 of text as UTF-8: 64 small hexadecimal digits. */
export function digestOfText(text: string): string {
  return sha256(utf8(text))
}

/** UTF-8 by hand: core has no encoder of the host at hand. Lone surrogates become U+FFFD. */
function utf8(text: string): Uint8Array {
  const out: number[] = []
  for (const character of text) {
    let point = character.codePointAt(0) ?? 0
    if (point >= 0xd800 && point <= 0xdfff) point = 0xfffd
    if (point < 0x80) out.push(point)
    else if (point < 0x800) out.push(0xc0 | (point >> 6), 0x80 | (point & 0x3f))
    else if (point < 0x10000) out.push(0xe0 | (point >> 12), 0x80 | ((point >> 6) & 0x3f), 0x80 | (point & 0x3f))
    else {
      out.push(0xf0 | (point >> 18), 0x80 | ((point >> 12) & 0x3f))
      out.push(0x80 | ((point >> 6) & 0x3f), 0x80 | (point & 0x3f))
    }
  }
  return Uint8Array.from(out)
}
