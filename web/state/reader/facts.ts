import type { ListingLine, Program } from '../../../core/assembler/index.ts'

/** What stands beside a line of the text: where its bytes go, which they are, and what they cost. */
export interface LineFact {
  readonly line: number
  readonly address: number
  readonly bytes: readonly number[]
  readonly tStates: number | null
  readonly tStatesNotTaken: number | null
}

/** One fact for each line of the text that makes bytes, joined where a line makes several instructions. */
export function lineFacts(listing: readonly ListingLine[]): readonly LineFact[] {
  const facts: LineFact[] = []
  for (const { line, address, bytes, tStates, tStatesNotTaken } of listing) {
    if (address === null || bytes.length === 0) continue
    const last = facts.at(-1)
    if (last?.line === line)
      facts[facts.length - 1] = { ...last, bytes: [...last.bytes, ...bytes], tStates: null, tStatesNotTaken: null }
    else facts.push({ line, address, bytes, tStates, tStatesNotTaken })
  }
  return facts
}

export interface ProgramFacts {
  readonly bytes: number
  readonly segments: number
  readonly from: number | null
  readonly to: number | null
  readonly instructions: number
  /** Each instruction once, conditions taken. */
  readonly tStatesOnce: number
}

export function programFacts(program: Program): ProgramFacts {
  const { segments } = program.image
  const last = segments.at(-1)
  const instructions = program.listing.filter((line) => line.kind === 'instruction')
  return {
    bytes: segments.reduce((sum, segment) => sum + segment.bytes.length, 0),
    segments: segments.length,
    from: segments[0]?.start ?? null,
    to: last === undefined ? null : last.start + last.bytes.length - 1,
    instructions: instructions.length,
    tStatesOnce: instructions.reduce((sum, line) => sum + (line.tStates ?? 0), 0),
  }
}
