import { readProgram, type ReadOptions } from '../assembler/index.ts'
import { decode, type Addr, type Byte } from '../cpu/index.ts'
import { makeImage, type Image } from '../image/index.ts'
import { operationText, type SourceText } from './source-text.ts'

/** Where the bytes of an item name a place of the program. They change when it moves. */
interface Reference {
  readonly offset: number
  /** A displacement, both bytes of an address, or its low byte alone. */
  readonly kind: 'relative' | 'word' | 'low'
  /** As the program stands before any edit. */
  readonly to: Addr
}

/** An instruction or a line of data: its bytes, and what in them has to be worked out anew when others move. */
export interface Item {
  readonly bytes: readonly Byte[]
  readonly references: readonly Reference[]
}

type Names = Readonly<Record<string, number>>

/** What comes in place of one item. A label of it stands before `instead`; a jump there passes `before` by. */
export interface ItemChange {
  readonly before?: readonly Item[]
  readonly instead: readonly Item[]
}

interface PlacedItem extends Item {
  readonly address: Addr
}

const relativeOpcodes: Readonly<Record<string, Byte>> = {
  DJNZ: 0x10,
  JR: 0x18,
  'JR NZ': 0x20,
  'JR Z': 0x28,
  'JR NC': 0x30,
  'JR C': 0x38,
}

/**
 * A program as items that can be spliced: an edit costs some microseconds, where assembling the text again takes ten
 * times as long. What refers to labels is found by assembling once more with everything one byte higher.
 */
export class ItemProgram {
  readonly items: readonly PlacedItem[]
  /** Values of all names, as the program stands and a byte higher. */
  readonly #names: Names
  readonly #namesHigher: Names
  readonly #origin: Addr
  readonly #encoded = new Map<string, Item | null>()

  private constructor(items: readonly PlacedItem[], names: Names, namesHigher: Names, origin: Addr) {
    this.items = items
    this.#names = names
    this.#namesHigher = namesHigher
    this.#origin = origin
  }

  /** Null where the text does not allow it: it does not assemble, or lines change their length when they move. */
  static of({ lines }: SourceText, { origin, symbols = {} }: ReadOptions): ItemProgram | null {
    const options = { origin, symbols }
    const base = readProgram({ format: 'assembly', text: lines.join('\n') }, options)
    const laid = base.listing.filter(({ address, bytes }) => address !== null && bytes.length > 0)
    const isFirst = laid.map(({ address }, i) => {
      const before = laid[i - 1]
      return before === undefined || address !== (before.address ?? 0) + before.bytes.length
    })
    const raised = [...lines]
    for (const [i, { line }] of laid.entries()) {
      if (isFirst[i] === true) raised[line - 1] = ` NOP\n${raised[line - 1] ?? ''}`
    }
    const shifted = readProgram({ format: 'assembly', text: raised.join('\n') }, options)
    const raisedItems = shifted.listing.filter(({ address, bytes }) => address !== null && bytes.length > 0)
    const others = laid.flatMap((_, i) => (isFirst[i] === true ? [null, i] : [i]))
    if (!base.isOk || !shifted.isOk || raisedItems.length !== others.length) return null
    const higher = raisedItems.filter((_, i) => others[i] !== null)
    const items: PlacedItem[] = []
    for (const [i, { kind, address, bytes }] of laid.entries()) {
      const moved = higher[i]
      if (moved?.bytes.length !== bytes.length || moved.address !== (address ?? 0) + 1) return null
      const references =
        kind === 'instruction' ? referencesIn(bytes, moved.bytes, address ?? 0) : wordsIn(bytes, moved.bytes)
      items.push({ address: address ?? 0, bytes, references })
    }
    return new ItemProgram(items, { ...symbols, ...base.symbols }, { ...symbols, ...shifted.symbols }, origin)
  }

  /** The item that begins at an address; -1 where none does. */
  indexAt(address: Addr): number {
    return this.items.findIndex((item) => item.address === address)
  }

  /** An instruction that may name this program's labels, as an item; null where it does not assemble. */
  encoded(text: string): Item | null {
    const before = this.#encoded.get(text)
    if (before !== undefined) return before
    const item = this.#encode(text)
    this.#encoded.set(text, item)
    return item
  }

  #encode(text: string): Item | null {
    // What it names depends on where it will stand.
    if (text.includes('$')) return null
    const [, mnemonic = '', rest = ''] = /^(\S+)\s*(.*)$/.exec(text) ?? []
    if (/^(JR|DJNZ)$/i.test(mnemonic)) return this.#encodeRelative(mnemonic.toUpperCase(), rest)
    const bytes = this.#bytesOf(text, this.#names)
    const higher = this.#bytesOf(text, this.#namesHigher)
    if (bytes === null || higher?.length !== bytes.length) return null
    return { bytes, references: referencesIn(bytes, higher, this.#origin) }
  }

  #encodeRelative(mnemonic: string, operands: string): Item | null {
    const [first = '', ...others] = operands.split(',').map((operand) => operand.trim())
    const condition = others.length === 0 ? '' : first.toUpperCase()
    const opcode = relativeOpcodes[`${mnemonic} ${condition}`.trim()]
    const target = this.#bytesOf(operationText('JP', [others.at(-1) ?? first]), this.#names)
    if (opcode === undefined || target?.length !== 3) return null
    return { bytes: [opcode, 0], references: [{ offset: 1, kind: 'relative', to: wordAt(target, 1) }] }
  }

  #bytesOf(text: string, symbols: Names): readonly Byte[] | null {
    const { isOk, listing } = readProgram({ format: 'assembly', text: ` ${text}` }, { origin: this.#origin, symbols })
    return isOk ? (listing.find(({ bytes }) => bytes.length > 0)?.bytes ?? null) : null
  }

  /**
   * The image with other items at some indices. Null where a displacement does not reach, or a stretch runs into the next
   * one or past FFFFh.
   */
  changed(changes: ReadonlyMap<number, ItemChange>): Image | null {
    const starts: Addr[] = []
    const ends: Addr[] = []
    const placed: { readonly at: Addr; readonly item: Item }[] = []
    let [at, oldEnd] = [0, -1]
    for (const [i, item] of this.items.entries()) {
      if (item.address !== oldEnd) {
        if (at > item.address) return null
        at = item.address
      }
      oldEnd = item.address + item.bytes.length
      const { before = [], instead } = changes.get(i) ?? { instead: [item] }
      for (const each of before) at = place(each, at, placed)
      starts.push(at)
      for (const each of instead) at = place(each, at, placed)
      ends.push(at)
    }
    if (at > 0x10000) return null
    const moved = (address: Addr): Addr => this.#moved(address, starts, ends)
    const segments: { readonly start: Addr; readonly bytes: number[] }[] = []
    for (const { at: start, item } of placed) {
      const bytes = relocated(item, start, moved)
      if (bytes === null) return null
      const last = segments.at(-1)
      if (last !== undefined && last.start + last.bytes.length === start) last.bytes.push(...bytes)
      else segments.push({ start, bytes: [...bytes] })
    }
    return makeImage(segments)
  }

  #moved(address: Addr, starts: readonly Addr[], ends: readonly Addr[]): Addr {
    const index = this.items.findLastIndex((item) => item.address <= address)
    const item = this.items[index]
    const [start, end] = [starts[index], ends[index]]
    if (item === undefined || start === undefined || end === undefined) return address
    const offset = address - item.address
    if (offset < item.bytes.length) return start + offset
    return offset === item.bytes.length ? end : address
  }
}

function place(item: Item, at: Addr, placed: { readonly at: Addr; readonly item: Item }[]): Addr {
  placed.push({ at, item })
  return at + item.bytes.length
}

function relocated({ bytes, references }: Item, at: Addr, moved: (address: Addr) => Addr): readonly Byte[] | null {
  if (references.length === 0) return bytes
  const changed = [...bytes]
  for (const { offset, kind, to } of references) {
    const target = moved(to)
    if (kind === 'relative') {
      const displacement = target - (at + bytes.length)
      if (displacement < -128 || displacement > 127) return null
      changed[offset] = displacement & 0xff
      continue
    }
    changed[offset] = target & 0xff
    if (kind === 'word') changed[offset + 1] = (target >> 8) & 0xff
  }
  return changed
}

/** The places that an instruction names, found by holding it against the same one a byte higher. */
function referencesIn(bytes: readonly Byte[], higher: readonly Byte[], address: Addr): readonly Reference[] {
  const { encoding } = decode((offset) => bytes[offset] ?? 0, 0).instruction
  const [e, low, n] = [encoding.indexOf('e'), encoding.indexOf('nl'), encoding.indexOf('n')]
  if (e >= 0) {
    const to = (address + bytes.length + (((bytes[e] ?? 0) ^ 0x80) - 0x80)) & 0xffff
    return [{ offset: e, kind: 'relative', to }]
  }
  if (low >= 0 && wordAt(higher, low) === wordAt(bytes, low) + 1) {
    return [{ offset: low, kind: 'word', to: wordAt(bytes, low) }]
  }
  // Of the low byte of an address only the byte is known: the place is taken to be in the program's own page.
  if (n >= 0 && higher[n] === (bytes[n] ?? 0) + 1) {
    return [{ offset: n, kind: 'low', to: (address & 0xff00) | (bytes[n] ?? 0) }]
  }
  return []
}

function wordsIn(bytes: readonly Byte[], higher: readonly Byte[]): readonly Reference[] {
  const references: Reference[] = []
  for (let i = 0; i + 1 < bytes.length; i++) {
    if (bytes[i] === higher[i] || wordAt(higher, i) !== wordAt(bytes, i) + 1) continue
    references.push({ offset: i, kind: 'word', to: wordAt(bytes, i) })
    i += 1
  }
  return references
}

function wordAt(bytes: readonly Byte[], offset: number): number {
  return (bytes[offset] ?? 0) | ((bytes[offset + 1] ?? 0) << 8)
}
