import { disassemble, lineText, type DisassembledLine } from '../disassembler/index.ts'
import { imageRange, parseHexDump, parseIntelHex, type ImageReading } from '../image/index.ts'
import { assemble } from './assemble.ts'
import { detectFormat } from './detect-format.ts'
import type { ListingLine, Program, ProgramFormat, ReadOptions } from './program.ts'

/** A program as it is handed in. */
export interface ProgramSource {
  /** `auto` looks at the text (`detectFormat`). */
  readonly format: ProgramFormat | 'auto'
  readonly text: string
}

/**
 * Reads a program in any of its forms. The same program in all of them gives the same image. Never throws for what stands in
 * the text: mistakes are in `problems`.
 */
export function readProgram(source: ProgramSource, options: ReadOptions): Program {
  const format = source.format === 'auto' ? detectFormat(source.text) : source.format
  switch (format) {
    case 'assembly':
      return assemble(source.text, options)
    case 'hex':
      return loaded(format, parseHexDump(source.text, options), options)
    case 'intel-hex':
      return loaded(format, parseIntelHex(source.text, options), options)
  }
}

function loaded(format: ProgramFormat, reading: ImageReading, options: ReadOptions): Program {
  const { image, problems } = reading
  const entry = reading.start ?? imageRange(image)?.from ?? options.origin
  const lines = disassemble(image, { entry, ...(options.symbols === undefined ? {} : { names: options.symbols }) })
  return {
    isOk: problems.every(({ severity }) => severity !== 'error'),
    format,
    image,
    entry,
    listing: listingOf(lines, reading),
    symbols: {},
    problems,
  }
}

/** The lines that have bytes, each with the line of the text that its first byte stands in. */
function listingOf(lines: readonly DisassembledLine[], reading: ImageReading): ListingLine[] {
  const lineAt = new Map<number, number>()
  for (const { line, address, bytes } of reading.lines)
    for (let i = 0; i < bytes.length; i += 1) if (!lineAt.has(address + i)) lineAt.set(address + i, line)
  return lines.flatMap((line) => {
    const { kind, address, bytes, label, tStates, tStatesNotTaken } = line
    if (address === null) return []
    const source = lineText(line)
    return [{ line: lineAt.get(address) ?? 1, kind, address, bytes, tStates, tStatesNotTaken, label, source }]
  })
}
