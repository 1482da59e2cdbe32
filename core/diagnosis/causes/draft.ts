import { readProgram, type Program, type ReadOptions } from '../../assembler/index.ts'
import type { Addr } from '../../cpu/index.ts'
import { byteAt, makeImage, type Image } from '../../image/index.ts'
import { operationText, sourceTextOf, type SourceText } from '../../edits/index.ts'

/** One instruction of a hand-in, as text that can be changed. */
export interface DraftLine {
  readonly index: number
  readonly address: Addr
  /** Line of the student's own text; null where the hand-in has none. */
  readonly line: number | null
  readonly label: string | null
  readonly mnemonic: string
  readonly operands: readonly string[]
  /** Operands in capital letters, without blanks. */
  readonly plain: readonly string[]
  /** `LD A,(COUNT)`. */
  readonly text: string
}

/** What is done to instructions by their index; several lines have a line feed between them. */
export interface Changes {
  /** Other text in place of it; '' leaves it out. Its label stays. */
  readonly instead?: Readonly<Record<number, string>>
  /** Put before it and before its label: a jump to the label passes it by. */
  readonly before?: Readonly<Record<number, string>>
  /** Put before it but behind its label. */
  readonly inside?: Readonly<Record<number, string>>
  readonly after?: Readonly<Record<number, string>>
}

/** A hand-in as lines that can be changed and assembled again: the student's own text, else a disassembly. */
export class Draft {
  readonly lines: readonly DraftLine[]
  readonly image: Image
  readonly #source: SourceText
  readonly #options: ReadOptions
  readonly #known = new Map<string, Image | null>()

  constructor(program: Program, options: ReadOptions) {
    this.image = program.image
    this.#source = sourceTextOf(program, options)
    this.#options = this.#source.isOwn ? options : { origin: options.origin }
    const { isOwn, instructions } = this.#source
    this.lines = instructions.map(({ line, address, label, mnemonic, operands }, index) => ({
      index,
      address,
      line: isOwn ? line : null,
      label,
      mnemonic,
      operands,
      plain: operands.map((operand) => operand.toUpperCase().replace(/\s+/g, '')),
      text: operationText(mnemonic, operands),
    }))
  }

  /** The image after the changes; null where it does not assemble. */
  changed(changes: Changes): Image | null {
    const text = this.textAfter(changes)
    if (text === null) return null
    const before = this.#known.get(text)
    if (before !== undefined) return before
    const { isOk, image } = readProgram({ format: 'assembly', text }, this.#options)
    const changed = isOk ? image : null
    this.#known.set(text, changed)
    return changed
  }

  /** The text after the changes; null where there is no such instruction. */
  textAfter({ instead = {}, before = {}, inside = {}, after = {} }: Changes): string | null {
    const lines = [...this.#source.lines]
    const touched = new Set([instead, before, inside, after].flatMap((each) => Object.keys(each).map(Number)))
    for (const index of touched) {
      const line = this.#source.instructions[index]
      const draft = this.lines[index]
      if (line === undefined || draft === undefined) return null
      const parts = [
        ...(before[index] === undefined ? [] : [` ${before[index].replaceAll('\n', '\n ')}`]),
        ...(line.label === null ? [] : [`${line.label}:`]),
        ...(inside[index] === undefined ? [] : [` ${inside[index].replaceAll('\n', '\n ')}`]),
        ` ${(instead[index] ?? draft.text).replaceAll('\n', '\n ')}`,
        ...(after[index] === undefined ? [] : [` ${after[index].replaceAll('\n', '\n ')}`]),
      ]
      lines[line.line - 1] = parts.join('\n')
    }
    return lines.join('\n')
  }

  /** The instruction that begins at an address. */
  at(address: Addr): DraftLine | null {
    return this.lines.find((line) => line.address === address) ?? null
  }

  /** The instruction whose bytes hold an address. */
  around(address: Addr): DraftLine | null {
    return this.lines.findLast((line) => line.address <= address) ?? null
  }

  byte(address: Addr): number {
    return byteAt(this.image, address) ?? 0
  }

  /** The image with other bytes at some addresses. */
  poked(bytes: Readonly<Record<Addr, number>>): Image {
    const pieces = Object.entries(bytes).map(([at, byte]) => ({ start: Number(at), bytes: [byte & 0xff] }))
    return makeImage([...this.image.segments, ...pieces])
  }
}
