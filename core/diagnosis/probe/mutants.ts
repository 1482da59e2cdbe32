import type { Program, ReadOptions } from '../../assembler/index.ts'
import type { Addr } from '../../cpu/index.ts'
import { decode, type Byte } from '../../cpu/index.ts'
import { disassembleAt } from '../../disassembler/index.ts'
import { byteAt, byteDigits, imageDigest, type Image } from '../../image/index.ts'
import type { Random } from '../../run/index.ts'
import { addressesOf, replacements } from '../edits/byte-edits.ts'
import { editedImage } from '../edits/edit.ts'
import { sourceEdits } from '../edits/source-edits.ts'

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
  const mutants: Mutant[] = []
  for (const mutant of [...bySource(program, options), ...byByte(program)]) {
    const digest = imageDigest(mutant.image)
    if (seen.has(digest)) continue
    seen.add(digest)
    mutants.push(mutant)
  }
  return mutants
}

function* bySource(program: Program, options: ReadOptions): Generator<Mutant> {
  for (const { kind, at, found, wouldBe, image } of sourceEdits(program, options)) {
    const isWhole = kind === 'dropped' || kind === 'order' || kind === 'operand'
    yield { kind: isWhole ? kind : 'opcode', at, found, wouldBe, image }
  }
}

function* byByte({ image, listing }: Program): Generator<Mutant> {
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
    const place = owner.get(edit.at)
    if (place === undefined) {
      const texts = { found: byteDigits(edit.found), wouldBe: byteDigits(edit.wouldBe) }
      yield { kind: 'data', at: edit.at, ...texts, image: mutated }
    } else {
      const wouldBe = disassembleAt((address) => byteAt(mutated, address) ?? 0, place.at).text
      const found = disassembleAt(read, place.at).text
      yield { kind: place.isOperand ? 'operand' : 'opcode', at: place.at, found, wouldBe, image: mutated }
    }
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
