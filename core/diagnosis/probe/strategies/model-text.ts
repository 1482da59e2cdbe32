import { readProgram, type Program, type ReadOptions } from '../../../assembler/index.ts'
import type { Addr } from '../../../cpu/index.ts'
import type { Image } from '../../../image/index.ts'
import { operationText, sourceTextOf, type SourceInstruction, type SourceText } from '../../../edits/index.ts'

/** What is done to one instruction of a model answer; lines of assembly. */
export interface Insertion {
  readonly at: SourceInstruction
  /** Runs when the program comes to it from above, but not where it jumps to it. */
  readonly ahead?: readonly string[]
  /** Runs before it, by whatever way the program comes to it. */
  readonly before?: readonly string[]
  /** In its place; itself unless given. */
  readonly instead?: readonly string[]
  readonly after?: readonly string[]
}

/** A model answer as text into which instructions can be put; all addresses are worked out anew. */
export class ModelText {
  readonly instructions: readonly SourceInstruction[]
  readonly #source: SourceText
  readonly #options: ReadOptions
  readonly #entry: Addr
  #labels = 0

  constructor(program: Program, options: ReadOptions) {
    this.#source = sourceTextOf(program, options)
    this.instructions = this.#source.instructions
    // A disassembly brings the firmware's names with it as EQUs.
    this.#options = this.#source.isOwn ? options : { ...options, symbols: {} }
    this.#entry = program.entry
  }

  /** A name that stands nowhere in the text. */
  label(): string {
    let label: string
    do label = `Q${(this.#labels += 1)}X`
    while (this.#source.lines.some((line) => line.toUpperCase().includes(label)))
    return label
  }

  at(address: Addr): SourceInstruction | undefined {
    return this.instructions.find((each) => each.address === address)
  }

  /** The instruction behind another, where nothing stands between them. */
  behind(instruction: SourceInstruction): SourceInstruction | undefined {
    return this.instructions[this.instructions.indexOf(instruction) + 1]
  }

  /** The same program at other addresses, and with a little delay now and then. */
  asRight(): readonly Image[] {
    const first = this.at(this.#entry)
    const slow = ['PUSH AF', 'POP AF']
    const calls = this.instructions.filter(({ mnemonic }) => ['CALL', 'OUT', 'IN'].includes(mnemonic))
    const made = [
      first === undefined ? null : this.with([{ at: first, ahead: slow }]),
      first === undefined ? null : this.with([{ at: first, ahead: ['NOP', ...slow, ...slow] }]),
      this.with(calls.map((at) => ({ at, before: slow }))),
      this.with(calls.map((at) => ({ at, before: ['NOP'], after: slow }))),
    ]
    return made.filter((image) => image !== null)
  }

  /** `tail` goes behind all else. Null where it does not assemble, or would start elsewhere. */
  with(insertions: readonly Insertion[], tail: readonly string[] = []): Image | null {
    const lines = [...this.#source.lines]
    for (const { at, ahead = [], before = [], instead = [textOf(at)], after = [] } of insertions) {
      const label = at.label === null ? [] : [`${at.label}:`]
      lines[at.line - 1] = [...ahead, ...label, ...before, ...instead, ...after].map(indented).join('\n')
    }
    const end = lines.findIndex((line) => /^\s*END\b/i.test(line))
    const where = end < 0 ? lines.length : end
    const text = [...lines.slice(0, where), ...tail.map(indented), ...lines.slice(where)].join('\n')
    const program = readProgram({ format: 'assembly', text }, this.#options)
    return program.isOk && program.entry === this.#entry ? program.image : null
  }
}

export function textOf({ mnemonic, operands }: SourceInstruction): string {
  return operationText(mnemonic, operands)
}

/** Only labels stand at the margin. */
function indented(line: string): string {
  return /^(\w+:|\s|$)/.test(line) ? line : ` ${line}`
}
