import { imageRange, showWord, type Image } from '../../image/index.ts'
import type { Repair } from './repair.ts'

/** Bytes of a line of the keying sheet: a hint names such a line and no single byte of it. */
const lineLength = 8

/**
 * A sentence that narrows and gives nothing away: what sort of slip it is and a stretch of eight addresses, those of a
 * line on the keying sheet. `One byte between 4010h and 4017h is not what it should be.`
 */
export function hintOf(repair: Pick<Repair, 'kind' | 'at'>, handIn: Image): string {
  const range = imageRange(handIn) ?? { from: repair.at, to: repair.at }
  const from = Math.max(range.from, repair.at & ~(lineLength - 1))
  const last = repair.kind === 'swap' ? repair.at + 1 : repair.at
  const to = Math.min(range.to, last | (lineLength - 1))
  const where =
    from >= to ? `at ${showWord(Math.min(from, range.to))}` : `between ${showWord(from)} and ${showWord(to)}`
  switch (repair.kind) {
    case 'replace':
      return `One byte ${where} is not what it should be.`
    case 'insert':
      return `One byte is missing ${where}.`
    case 'remove':
      return `There is one byte too many ${where}.`
    case 'swap':
      return `Two neighbouring bytes ${where} are the wrong way round.`
    case 'order':
      return `Two neighbouring instructions ${where} are the wrong way round.`
    case 'dropped':
      return `There is one instruction too many ${where}.`
    case 'inserted':
      return `One instruction is missing ${where}.`
    case 'operand':
    case 'operation':
    case 'condition':
    case 'register':
    case 'form':
      return `One instruction ${where} is not what it should be.`
  }
}
