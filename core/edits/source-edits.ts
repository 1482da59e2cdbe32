import { readProgram, type Program, type ReadOptions } from '../assembler/index.ts'
import type { Addr } from '../cpu/index.ts'
import type { Image } from '../image/index.ts'
import { operationText, sourceTextOf, type SourceInstruction, type SourceText } from './source-text.ts'

/** What is done to one instruction of the source text; all addresses behind it are worked out anew. */
export type SourceEditKind =
  | 'operand'
  | 'condition'
  | 'register'
  /** A value in place of the contents of its address, or the other way round. */
  | 'form'
  | 'dropped'
  /** It changes places with the instruction behind it. */
  | 'order'

export interface SourceEdit {
  readonly kind: SourceEditKind
  /** Address of the instruction before the edit. */
  readonly at: Addr
  /** Its line in the student's text; null where the hand-in has no text of its own. */
  readonly line: number | null
  /** As written: `LD A,(COUNT)`; both, with ` / ` between, where two change places. */
  readonly found: string
  /** Null where it is left out. */
  readonly wouldBe: string | null
  readonly image: Image
}

/**
 * Every edit of a single instruction that still assembles: an operand one or two more or less, the condition flipped,
 * another register, `n` for `(n)` and back, the instruction left out, two neighbours the wrong way round. The images that
 * an edit of one byte gives too are among them.
 */
export function* sourceEdits(program: Program, options: ReadOptions): Generator<SourceEdit> {
  const source = sourceTextOf(program, options)
  // A disassembly brings the firmware's names with it as EQUs.
  const known = source.isOwn ? options : { origin: options.origin }
  for (const [i, instruction] of source.instructions.entries()) {
    for (const { kind, wouldBe } of changesOf(instruction)) {
      const image = assembled(source, [[instruction, wouldBe]], known)
      if (image !== null) yield { kind, ...placeOf(source, instruction), wouldBe, image }
    }
    const next = source.instructions[i + 1]
    if (next === undefined || textOf(next) === textOf(instruction)) continue
    const image = assembled(
      source,
      [
        [instruction, textOf(next)],
        [next, textOf(instruction)],
      ],
      known,
    )
    const found = `${textOf(instruction)} / ${textOf(next)}`
    const wouldBe = `${textOf(next)} / ${textOf(instruction)}`
    if (image !== null) yield { kind: 'order', ...placeOf(source, instruction), found, wouldBe, image }
  }
}

function textOf({ mnemonic, operands }: SourceInstruction): string {
  return operationText(mnemonic, operands)
}

function placeOf(source: SourceText, instruction: SourceInstruction): Pick<SourceEdit, 'at' | 'line' | 'found'> {
  return { at: instruction.address, line: source.isOwn ? instruction.line : null, found: textOf(instruction) }
}

function assembled(
  { lines }: SourceText,
  changes: readonly (readonly [SourceInstruction, string | null])[],
  options: ReadOptions,
): Image | null {
  const changed = [...lines]
  for (const [{ line, label }, operation] of changes) {
    changed[line - 1] = `${label === null ? '' : `${label}:`} ${operation ?? ''}`
  }
  const program = readProgram({ format: 'assembly', text: changed.join('\n') }, options)
  return program.isOk ? program.image : null
}

const conditions = ['NZ', 'Z', 'NC', 'C', 'PO', 'PE', 'P', 'M']
const byteRegisters = ['A', 'B', 'C', 'D', 'E', 'H', 'L', '(HL)']
const pairs = ['BC', 'DE', 'HL', 'SP', 'AF', 'IX', 'IY']

type Change = { readonly kind: SourceEditKind; readonly wouldBe: string | null }

function* changesOf({ mnemonic, operands }: SourceInstruction): Generator<Change> {
  for (const [i, written] of operands.entries()) {
    const operand = written.toUpperCase()
    const instead = (other: string): string => operationText(mnemonic, operands.with(i, other))
    if (i === 0 && /^(JR|JP|CALL|RET)$/.test(mnemonic) && conditions.includes(operand)) {
      const flipped = conditions[conditions.indexOf(operand) ^ 1] ?? operand
      yield { kind: 'condition', wouldBe: instead(flipped) }
      continue
    }
    const family = [byteRegisters, pairs].find((each) => each.includes(operand))
    if (family !== undefined) {
      for (const other of family) if (other !== operand) yield { kind: 'register', wouldBe: instead(other) }
      continue
    }
    yield* changesOfValue(written, instead)
  }
  yield { kind: 'dropped', wouldBe: null }
}

/** What may be wrong with an operand that holds a number or a name. */
function* changesOfValue(written: string, instead: (other: string) => string): Generator<Change> {
  const inside = /^\((.*)\)$/.exec(written)?.[1]
  // RST and IM refuse most sums, BIT some, and (HL), (IX) have none: what does not assemble drops out.
  for (const sum of ['+1', '-1', '+2', '-2']) {
    yield { kind: 'operand', wouldBe: instead(inside === undefined ? `${written}${sum}` : `(${inside}${sum})`) }
  }
  yield { kind: 'form', wouldBe: instead(inside ?? `(${written})`) }
}
