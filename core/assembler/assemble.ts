import { imageRange, Loader, ProblemList, showCount, startOfText, textLines } from '../image/index.ts'
import { FirstPass } from './first-pass.ts'
import { lexLine } from './lexer.ts'
import { limits } from './limits.ts'
import { LineReader } from './line-reader.ts'
import { Notes } from './notes.ts'
import type { Program, ReadOptions } from './program.ts'
import { SecondPass } from './second-pass.ts'
import { SymbolTable } from './symbols.ts'

/**
 * Assembles a source text in the manual's mnemonics. Never throws for what stands in the text: mistakes are in `problems`,
 * and what could be assembled all the same is in the image and the listing. README.md has the language.
 */
export function assemble(text: string, options: ReadOptions): Program {
  const problems = new ProblemList()
  const symbols = new SymbolTable(options.symbols ?? {})
  const loader = new Loader(problems, options)
  const notes = new Notes(problems, symbols)
  const second = new SecondPass(loader, notes)
  const source = problems.refuseLength(text) ? [] : textLines(text)
  const maxLines = options.maxLines ?? limits.sourceLines
  if (source.length > maxLines)
    problems.error(startOfText, {
      code: 'too-many-lines',
      found: showCount(source.length, 'line'),
      allowed: `up to ${showCount(maxLines, 'line')}`,
      message: `The program has ${showCount(source.length, 'line')}; up to ${showCount(maxLines, 'line')} are allowed. Nothing was read.`,
    })
  else {
    const lines = source.map((line, i) => lexLine(line, i + 1))
    const first = new FirstPass(new LineReader(lines), symbols, notes, options.origin)
    first.run()
    notes.call = null
    symbols.resolve((here) => notes.scope(here))
    second.run(first.lines)
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
