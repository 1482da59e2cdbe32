import type { Addr } from '../../cpu/index.ts'
import type { ModelBehaviour } from './model-behaviour.ts'
import { addressText, bytesText } from './proposal.ts'

/** Bytes drawn at most, and runs with drawn values. */
const mostBytes = 256
const runsDrawn = 6

/**
 * A hidden case in which the bytes given to the program are drawn: those of the first case that the program reads before
 * it writes them. Null where it reads none.
 */
export function drawnCase(runs: readonly ModelBehaviour[]): Readonly<Record<string, unknown>> | null {
  const [first] = runs
  if (first === undefined) return null
  const given = first.request.given.memory
  const isRead = readFirst(first)
  const draws = given.flatMap(({ at, bytes }) => {
    const read = bytes.map((_, i) => at + i).filter((address) => isRead(address))
    return stretches(read).map(({ from, length }) => ({ at: addressText(from), length }))
  })
  const count = draws.reduce((sum, { length }) => sum + length, 0)
  if (draws.length === 0 || count > mostBytes) return null
  return { id: 'drawn', title: 'Drawn inputs', visible: false, times: runsDrawn, draws }
}

/**
 * Bytes that the model answer takes from RAM that nobody set, as a case gives them: inputs that the author has named in the
 * task alone. Too many are no inputs but a sweep over memory.
 */
export function readUnset({
  recording,
  request,
}: ModelBehaviour): readonly { readonly at: string; readonly bytes: string }[] {
  const isOwn = (pc: Addr): boolean =>
    request.image.segments.some(({ start, bytes }) => pc >= start && pc < start + bytes.length)
  const read = recording.questions.allReadBeforeWritten().filter(({ isGiven, pc }) => !isGiven && isOwn(pc))
  if (read.length > mostBytes) return []
  const values = new Map(read.map(({ address, value }) => [address, value]))
  const addresses = [...values.keys()].sort((a, b) => a - b)
  return stretches(addresses).map(({ from, length }) => ({
    at: addressText(from),
    bytes: bytesText(Array.from({ length }, (_, i) => values.get(from + i) ?? 0)),
  }))
}

/** Whether a byte is read before it is written. */
function readFirst({ recording }: ModelBehaviour): (address: Addr) => boolean {
  const read = new Set(recording.questions.allReadBeforeWritten().map(({ address }) => address))
  return (address) => read.has(address)
}

function stretches(addresses: readonly Addr[]): readonly { readonly from: Addr; readonly length: number }[] {
  const result: { from: Addr; length: number }[] = []
  for (const address of addresses) {
    const last = result.at(-1)
    if (last !== undefined && last.from + last.length === address) last.length += 1
    else result.push({ from: address, length: 1 })
  }
  return result
}
