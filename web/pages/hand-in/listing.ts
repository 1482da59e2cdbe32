import type { ListingLine } from '../../../core/assembler/index.ts'
import { byteDigits, wordDigits, type Problem } from '../../../core/image/index.ts'
import type { EditorProblem, GutterFact } from '../../editor/index.ts'
import { lineFacts } from '../../state/reader/facts.ts'

/** Four bytes fit the gutter of a listing: as many as the longest instruction has. */
const bytesShown = 4

/** `13/8` for an instruction whose time depends on its condition. */
export function costText(tStates: number | null, notTaken: number | null): string {
  if (tStates === null) return ''
  return notTaken === null || notTaken === tStates ? String(tStates) : `${tStates}/${notTaken}`
}

export function gutterFacts(listing: readonly ListingLine[]): readonly GutterFact[] {
  return lineFacts(listing).map(({ line, address, bytes, tStates, tStatesNotTaken }) => ({
    line,
    address: wordDigits(address),
    bytes: bytes.slice(0, bytesShown).map(byteDigits).join(' ') + (bytes.length > bytesShown ? '…' : ''),
    cost: costText(tStates, tStatesNotTaken),
  }))
}

export function editorProblems(problems: readonly Problem[]): readonly EditorProblem[] {
  return problems.map(({ severity, at, message }) => ({ severity, message, ...at }))
}
