import type { Program, ReadOptions } from '../assembler/index.ts'
import {
  disassembledText,
  operationText,
  sourceTextOf,
  type SourceInstruction,
  type SourceText,
} from './source-text.ts'
import type { Addr } from '../cpu/index.ts'
import type { Image } from '../image/index.ts'
import { ItemProgram, type Item, type ItemChange } from './items.ts'

/** What is done to one instruction of the source text; all addresses behind it are worked out anew. */
export type SourceEditKind =
  | 'operand'
  | 'condition'
  | 'register'
  /** A value in place of the contents of its address, or the other way round. */
  | 'form'
  /** Another operation. */
  | 'operation'
  | 'dropped'
  | 'inserted'
  /** It changes places with the instruction behind it. */
  | 'order'

export interface SourceEdit {
  readonly kind: SourceEditKind
  /** Address of the instruction before the edit; of one put in, that of the instruction which it comes before. */
  readonly at: Addr
  /** Its line in the student's text; null where the hand-in has no text of its own. */
  readonly line: number | null
  /** As written: `LD A,(COUNT)`; both, with ` / ` between, where two change places. Null where one is put in. */
  readonly found: string | null
  /** Null where it is left out. */
  readonly wouldBe: string | null
  readonly image: Image
}

/** A program whose instructions can be changed, left out, put in and exchanged, each edit giving an image. */
export class Editable {
  readonly source: SourceText
  readonly instructions: readonly SourceInstruction[]
  readonly #items: ItemProgram
  readonly #indices: readonly number[]

  private constructor(source: SourceText, items: ItemProgram) {
    this.source = source
    this.#items = items
    this.instructions = source.instructions.filter(({ address }) => items.indexAt(address) >= 0)
    this.#indices = this.instructions.map(({ address }) => items.indexAt(address))
  }

  /** The student's own text where it can be spliced, else a disassembly; null where neither can. */
  static of(program: Program, options: ReadOptions): Editable | null {
    const own = sourceTextOf(program, options)
    // A disassembly brings the firmware's names with it as EQUs.
    const made = (source: SourceText): Editable | null => {
      const items = ItemProgram.of(source, source.isOwn ? options : { origin: options.origin })
      return items === null ? null : new Editable(source, items)
    }
    return made(own) ?? (own.isOwn ? made(disassembledText(program, options)) : null)
  }

  textAt(index: number): string {
    const { mnemonic = '', operands = [] } = this.instructions[index] ?? {}
    return operationText(mnemonic, operands)
  }

  /** The bytes of an instruction as it would stand here, with what it names; null where it does not assemble. */
  encoded(text: string): Item | null {
    return this.#items.encoded(text)
  }

  /** One instruction otherwise, or left out. */
  changed(index: number, kind: SourceEditKind, wouldBe: string | null): SourceEdit | null {
    const item = wouldBe === null ? null : this.encoded(wouldBe)
    if (wouldBe !== null && item === null) return null
    return this.#edit(index, kind, this.textAt(index), wouldBe, [[index, { instead: item === null ? [] : [item] }]])
  }

  /** An instruction and the one behind it in each other's place; their labels stay. */
  exchanged(index: number): SourceEdit | null {
    const [first, second] = [this.#itemAt(index), this.#itemAt(index + 1)]
    const [one, other] = [this.textAt(index), this.textAt(index + 1)]
    if (first === null || second === null || one === other) return null
    return this.#edit(index, 'order', `${one} / ${other}`, `${other} / ${one}`, [
      [index, { instead: [second] }],
      [index + 1, { instead: [first] }],
    ])
  }

  /**
   * One instruction more, in front of the one at `index`: `before` its label, so that a jump there passes it by, or behind
   * the label; or behind the instruction itself.
   */
  inserted(index: number, text: string, where: 'before' | 'inside' | 'after'): SourceEdit | null {
    const [own, item] = [this.#itemAt(index), this.encoded(text)]
    if (own === null || item === null) return null
    const change: ItemChange =
      where === 'before'
        ? { before: [item], instead: [own] }
        : { instead: where === 'inside' ? [item, own] : [own, item] }
    const edit = this.#edit(index, 'inserted', null, text, [[index, change]])
    return edit !== null && where === 'after' ? { ...edit, at: edit.at + own.bytes.length } : edit
  }

  #itemAt(index: number): Item | null {
    return this.#items.items[this.#indices[index] ?? -1] ?? null
  }

  #edit(
    index: number,
    kind: SourceEditKind,
    found: string | null,
    wouldBe: string | null,
    changes: readonly (readonly [number, ItemChange])[],
  ): SourceEdit | null {
    const instruction = this.instructions[index]
    const image = this.#items.changed(new Map(changes.map(([i, change]) => [this.#indices[i] ?? -1, change])))
    if (instruction === undefined || image === null) return null
    const line = this.source.isOwn ? instruction.line : null
    return { kind, at: instruction.address, line, found, wouldBe, image }
  }
}
