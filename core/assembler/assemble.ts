import { imageRange, Loader, ProblemList, showCount, startOfText, textLines } from '../image/index.ts'
import { FirstPass } from './first-pass.ts'
import { lexLine } from './lexer.ts'
import { limits } from './limits.ts'
import { LineReader } from './line-reader.ts'
import { Notes } from './notes.ts'
import type { Program, ReadOptions } from './program.ts'
import { SecondPass } from './second-pass.ts'
import { SymbolTable } from './symbols.ts'
import type { LexedLine } from './token.ts'

/**
 * Assembles a source text in the manual's mnemonics. Never throws for what stands in the text: mistakes are in `problems`,
 * and what could be assembled all the same is in the image and the listing. docs/assembler.md has the language.
 */
export function assemble(text: string, options: ReadOptions): Program {
  const problems = new ProblemList()
  const symbols = new SymbolTable(options.symbols ?? {})
  const loader = new Loader(problems, options)
  const notes = new Notes(problems, symbols)
  const second = new SecondPass(loader, notes)
  const lines = lexed(text, options.maxLines ?? linesFor(options.maxBytes ?? 0), problems)
  if (lines !== null) {
    const first = new FirstPass(new LineReader(lines), symbols, notes, options.origin)
    first.run()
    notes.call = null
    symbols.resolve((here) => notes.scope(here))
    second.run(first.lines)
    first.finish()
    if (loader.size === 0 && !problems.hasErrors)
      problems.error(startOfText, {
        code: 'empty',
        found: 'no instruction and no data',
        allowed: 'at least one byte',
        message: 'There is no instruction and no data in this text, so there is nothing to load.',
      })
  }
  const image = loader.image()
  return {
    isOk: !problems.hasErrors,
    format: 'assembly',
    image,
    entry: second.entry ?? imageRange(image)?.from ?? options.origin,
    listing: second.listing,
    symbols: symbols.values(),
    problems: problems.toArray(),
  }
}

/** Lines that a text may have which makes up to so many bytes. */
function linesFor(maxBytes: number): number {
  return Math.max(limits.sourceLines, maxBytes + limits.linesBesideBytes)
}

/** The lines of a text cut into tokens, or null, with the reason noted, when it is longer than a program may be. */
function lexed(text: string, maxLines: number, problems: ProblemList): LexedLine[] | null {
  if (problems.refuseLength(text)) return null
  const source = textLines(text)
  if (source.length > maxLines) {
    refuse('too-many-lines', showCount(source.length, 'line'), `up to ${showCount(maxLines, 'line')}`)
    return null
  }
  const lines: LexedLine[] = []
  const maxTokens = maxLines * limits.tokensPerLine
  let tokens = 0
  for (const [i, line] of source.entries()) {
    const next = lexLine(line, i + 1)
    tokens += next.tokens.length + next.faults.length
    if (tokens > maxTokens) {
      const most = showCount(maxTokens, 'word')
      refuse('text-too-long', `more than ${most} and marks`, `up to ${most} and marks`)
      return null
    }
    lines.push(next)
  }
  return lines

  function refuse(code: string, found: string, allowed: string): void {
    const message = `The program has ${found}; allowed are ${allowed}. Nothing was read.`
    problems.error(startOfText, { code, found, allowed, message })
  }
}
