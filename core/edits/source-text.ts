import type { Program } from '../assembler/index.ts'
import type { Addr } from '../cpu/index.ts'
import { disassemble, toText } from '../disassembler/index.ts'
import { readProgram, type ReadOptions } from '../assembler/index.ts'

/** One instruction of a source text. */
export interface SourceInstruction {
  /** Line of the text, from 1. */
  readonly line: number
  readonly address: Addr
  /** Without its colon. */
  readonly label: string | null
  readonly mnemonic: string
  readonly operands: readonly string[]
}

/** A program as lines that can be changed one by one and assembled again. */
export interface SourceText {
  readonly lines: readonly string[]
  readonly instructions: readonly SourceInstruction[]
  /** Lines are those of the student; otherwise a disassembly's. */
  readonly isOwn: boolean
}

/** The student's own text where one is at hand and has no macros, else a disassembly. */
export function sourceTextOf(program: Program, options: ReadOptions): SourceText {
  const isOwn = program.format === 'assembly' && program.listing.every(({ calledFrom }) => calledFrom === undefined)
  return isOwn ? ownText(program) : disassembledText(program, options)
}

function ownText({ listing }: Program): SourceText {
  const lines: string[] = []
  for (const { line, source } of listing) lines[line - 1] = source
  return { lines: Array.from(lines, (line) => line ?? ''), instructions: instructionsOf(listing), isOwn: true }
}

/** A disassembly as text, whose lines are nobody's own. */
export function disassembledText({ image, entry }: Program, options: ReadOptions): SourceText {
  const names = options.symbols === undefined ? {} : { names: options.symbols }
  const text = toText(disassemble(image, { entry, ...names }))
  // Names of the firmware are EQUs of the text itself.
  const { listing } = readProgram({ format: 'assembly', text }, { origin: options.origin })
  return { lines: text.split('\n'), instructions: instructionsOf(listing), isOwn: false }
}

function instructionsOf(listing: Program['listing']): readonly SourceInstruction[] {
  return listing.flatMap(({ kind, line, address, label, source }) => {
    if (kind !== 'instruction' || address === null) return []
    const operation = withoutLabel(withoutComment(source), label)
    const [, mnemonic = '', rest = ''] = /^(\S+)\s*(.*)$/.exec(operation) ?? []
    return [{ line, address, label, mnemonic: mnemonic.toUpperCase(), operands: operandsOf(rest) }]
  })
}

/** One operation as source text. */
export function operationText(mnemonic: string, operands: readonly string[]): string {
  return operands.length === 0 ? mnemonic : `${mnemonic} ${operands.join(',')}`
}

/** A quoted text with what stands in it, or one other character. */
const pieces = /"[^"]*"|'[^']'|[^]/g

function withoutComment(source: string): string {
  let kept = ''
  for (const [piece] of source.matchAll(pieces)) {
    if (piece === ';') break
    kept += piece
  }
  return kept.trim()
}

function withoutLabel(text: string, label: string | null): string {
  if (label === null || !text.toUpperCase().startsWith(label.toUpperCase())) return text
  return text.slice(label.length).replace(/^\s*:/, '').trim()
}

function operandsOf(text: string): readonly string[] {
  if (text === '') return []
  const operands = ['']
  let depth = 0
  for (const [piece] of text.matchAll(pieces)) {
    if (piece === '(') depth += 1
    if (piece === ')') depth -= 1
    if (piece === ',' && depth === 0) operands.push('')
    else operands[operands.length - 1] += piece
  }
  return operands.map((operand) => operand.trim())
}
