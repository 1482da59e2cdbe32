import type { Program, ReadOptions } from '../../assembler/index.ts'
import type { Addr } from '../../cpu/index.ts'
import { decode, type Byte } from '../../cpu/index.ts'
import { disassembleAt } from '../../disassembler/index.ts'
import { byteAt, byteDigits, imageDigest, type Image } from '../../image/index.ts'
import type { Random } from '../../run/index.ts'
import { addressesOf, replacements, editedImage, sourceEdits } from '../../edits/index.ts'

/** What was changed in a model answer: an opcode, an operand, a byte of data; an instruction left out, two exchanged. */
export const mutantKinds = ['opcode', 'operand', 'data', 'dropped', 'order'] as const

export type MutantKind = (typeof mutantKinds)[number]

/** A model answer with one thing wrong in it. */
export interface Mutant {
  readonly kind: MutantKind
  /** Address of the instruction or of the byte of data. */
  readonly at: Addr
  /** As the model answer has it, and as the mutant does: instructions as text, data as bytes. Null where left out. */
  readonly found: string
  readonly wouldBe: string | null
  readonly image: Image
}

/** Every mutant of a program, no image twice. */
export function mutantsOf(program: Program, options: ReadOptions): readonly Mutant[] {
  const seen = new Set([imageDigest(program.image)])
  /** Those of them that differ from the program in one byte. */
  const places = new Set<number>()
  const mutants: Mutant[] = []
  for (const mutant of bySource(program, options)) {
    const digest = imageDigest(mutant.image)
    if (seen.has(digest)) continue
    seen.add(digest)
    const place = placeChanged(program.image, mutant.image)
    if (place !== null) places.add(place)
    mutants.push(mutant)
  }
  for (const { place, mutant } of byByte(program)) if (!places.has(place)) mutants.push(mutant)
  return mutants
}

const placeOf = (at: Addr, value: Byte): number => at * 256 + value

/** Where and what the only byte is in which two images differ; null where there is more to it. */
function placeChanged({ segments }: Image, { segments: others }: Image): number | null {
  let place: number | null = null
  if (segments.length !== others.length) return null
  for (const [k, { start, bytes }] of segments.entries()) {
    const other = others[k]
    if (other?.start !== start || other.bytes.length !== bytes.length) return null
    for (const [i, byte] of other.bytes.entries()) {
      if (byte === bytes[i]) continue
      if (place !== null) return null
      place = placeOf(start + i, byte)
    }
  }
  return place
}

function* bySource(program: Program, options: ReadOptions): Generator<Mutant> {
  for (const { kind, at, found, wouldBe, image } of sourceEdits(program, options)) {
    if (found === null) continue
    const isWhole = kind === 'dropped' || kind === 'order' || kind === 'operand'
    yield { kind: isWhole ? kind : 'opcode', at, found, wouldBe, image }
  }
}

function* byByte({ image, listing }: Program): Generator<{ readonly place: number; readonly mutant: Mutant }> {
  const read = (address: Addr): Byte => byteAt(image, address) ?? 0
  const owner = new Map<Addr, { readonly at: Addr; readonly isOperand: boolean }>()
  for (const { kind, address: at } of listing) {
    if (kind !== 'instruction' || at === null) continue
    const { instruction } = decode(read, at)
    for (const [i, part] of instruction.encoding.entries())
      owner.set(at + i, { at, isOperand: typeof part === 'string' })
  }
  for (const edit of replacements(image, addressesOf(image))) {
    const mutated = editedImage(image, edit)
    if (mutated === null || edit.kind !== 'replace') continue
    const owned = owner.get(edit.at)
    const kind = owned === undefined ? 'data' : owned.isOperand ? 'operand' : 'opcode'
    const at = owned?.at ?? edit.at
    // Tens of thousands are made and some hundred are told of: words are found when they are read.
    const text = (of: Image, byte: Byte): string =>
      owned === undefined ? byteDigits(byte) : disassembleAt((address) => byteAt(of, address) ?? 0, at).text
    const mutant: Mutant = {
      ...{ kind, at, image: mutated },
      get found() {
        return text(image, edit.found)
      },
      get wouldBe() {
        return text(mutated, edit.wouldBe)
      },
    }
    yield { place: placeOf(edit.at, edit.wouldBe), mutant }
  }
}

/**
 * At most `most` of the mutants, an equal share of each kind as far as there are enough of it, drawn by chance; in their
 * old order.
 */
export function sampleOf(mutants: readonly Mutant[], most: number, random: Random): readonly Mutant[] {
  if (mutants.length <= most) return mutants
  const drawn = mutantKinds.map((kind) =>
    shuffled(
      mutants.filter((mutant) => mutant.kind === kind),
      random,
    ),
  )
  const taken = new Set<Mutant>()
  for (let i = 0; taken.size < most; i++) {
    for (const each of drawn) {
      const mutant = each[i]
      if (mutant !== undefined && taken.size < most) taken.add(mutant)
    }
  }
  return mutants.filter((mutant) => taken.has(mutant))
}

function shuffled<T>(items: readonly T[], random: Random): readonly T[] {
  const mixed = [...items]
  for (let i = mixed.length - 1; i > 0; i--) {
    const j = random.under(i + 1)
    const [a, b] = [mixed[i], mixed[j]]
    if (a !== undefined && b !== undefined) [mixed[i], mixed[j]] = [b, a]
  }
  return mixed
}
