import type { BoardProfile } from '../../board/index.ts'
import { decode, type Addr, type Byte } from '../../cpu/index.ts'
import type { Image } from '../../image/index.ts'

/** What of an instruction its order in a program shows in. */
interface Shape {
  readonly length: number
  readonly operand: 'e' | 'target' | 'place' | null
  /** Offset of the operand. */
  readonly at: number
  /** Nobody keys it on purpose: undocumented, or LD B,B. */
  readonly isOdd: boolean
  /** Nothing runs on behind it. */
  readonly isEnd: boolean
}

const shapes = new Map<number, Shape>()

/** By its first two bytes, which decide the length of every instruction. */
function shapeOf(first: Byte, second: Byte): Shape {
  const isPrefixed = first === 0xcb || first === 0xdd || first === 0xed || first === 0xfd
  const key = isPrefixed ? first * 256 + second : first
  let shape = shapes.get(key)
  if (shape === undefined) {
    const { instruction } = decode((address) => [first, second][address] ?? 0, 0)
    const { text, encoding, isDocumented } = instruction
    const e = encoding.indexOf('e')
    const word = encoding.indexOf('nl')
    shape = {
      length: encoding.length,
      operand:
        e >= 0 ? 'e' : word < 0 ? null : /^(JP|CALL)/.test(text) ? 'target' : text.includes('(nn)') ? 'place' : null,
      at: Math.max(e, word),
      isOdd: !isDocumented || /^LD ([A-EHL]),\1$/.test(text),
      isEnd: /^(HALT|RET|RETI|RETN|JP \(HL\)|JP nn|JR e)$/.test(text),
    }
    shapes.set(key, shape)
  }
  return shape
}

/**
 * How little a stretch of bytes looks like a program, by what can be seen without running it: jumps into the middle of
 * instructions or to where nothing is, odd instructions, an end that is cut off or missing. Every figure is a count with a
 * weight found by trial; only differences between images that are one byte apart mean anything.
 */
export function disorder({ segments }: Image, { firmware, memory }: BoardProfile): number {
  const starts = new Set<Addr>(firmware.routines.map(({ address }) => address))
  const targets: Addr[] = []
  let sum = 0
  for (const { start, bytes } of segments) {
    let isEnded = false
    for (let i = 0; i < bytes.length;) {
      const { length, operand, at, isOdd, isEnd } = shapeOf(bytes[i] ?? 0, bytes[i + 1] ?? 0)
      starts.add(start + i)
      if (isOdd) sum += 1
      const low = bytes[i + at] ?? 0
      if (operand === 'e') targets.push((start + i + length + ((low ^ 0x80) - 0x80)) & 0xffff)
      const word = low | ((bytes[i + at + 1] ?? 0) << 8)
      if (operand === 'target') targets.push(word)
      if (operand === 'place' && !memory.some(({ kind, from, to }) => kind === 'ram' && word >= from && word <= to))
        sum += 2
      if (i + length > bytes.length) sum += 2
      isEnded = isEnd
      i += length
    }
    if (!isEnded) sum += 1
  }
  for (const target of targets) if (!starts.has(target)) sum += 2
  return sum
}
