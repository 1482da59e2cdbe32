import type { ListingLine, Program } from '../assembler/index.ts'
import { disassembleAt, type NameOf } from '../disassembler/index.ts'
import { byteDigits, showByte, showWord } from '../image/index.ts'
import type { Recording, TraceStep } from '../run/index.ts'
import { csv, type Cell } from './csv.ts'

const listingHeader = ['Line', 'Address', 'Bytes', 'T-states', 'T-states not taken', 'Label', 'Source']

/** A listing as a table: one row a line; what a line has not is empty. */
export function listingCsv({ listing }: Program): string {
  return csv(
    listingHeader,
    listing.map(({ line, address, bytes, tStates, tStatesNotTaken, label, source }) => [
      ...[line, address === null ? null : showWord(address), hex(bytes), tStates, tStatesNotTaken, label, source],
    ]),
  )
}

export interface StepTableOptions {
  /** Names for addresses in the instructions; without it they are numbers. */
  readonly nameOf?: NameOf
  /** Adds the line of the program and its text to each step that stands in it. */
  readonly listing?: readonly ListingLine[]
}

const pairs = ['af', 'bc', 'de', 'hl', 'ix', 'iy', 'sp', 'af_', 'bc_', 'de_', 'hl_'] as const
const stepHeader = [
  ...['Step', 'T', 'T-states', 'Address', 'Bytes', 'Instruction', 'Line', 'Source'],
  ...pairs.map((pair) => pair.toUpperCase().replace('_', "'")),
  ...['IFF1', 'Memory written'],
]
const waiting = { instruction: null, interrupt: 'interrupt accepted', halted: 'waiting in HALT' } as const

/**
 * The steps `from` to `to` (excluded) of a run as a table, with the registers that each leaves behind. `T` is when a step
 * began. Long: some 130 characters a step.
 */
export function stepTableCsv(recording: Recording, from: number, to: number, options: StepTableOptions = {}): string {
  const lines = new Map(
    (options.listing ?? []).flatMap((line) =>
      line.kind === 'instruction' && line.address !== null ? [[line.address, line] as const] : [],
    ),
  )
  return csv(stepHeader, rows(recording, from, to, lines, options.nameOf))
}

function* rows(
  recording: Recording,
  from: number,
  to: number,
  lines: ReadonlyMap<number, ListingLine>,
  nameOf: NameOf | undefined,
): Iterable<readonly Cell[]> {
  const end = Math.min(to, recording.result.steps)
  for (let first = Math.max(0, from); first < end;) {
    const steps = recording.steps(first, end)
    for (const step of steps) {
      const line = lines.get(step.pc)
      const isInstruction = step.kind === 'instruction'
      yield [
        ...[step.step, step.t, step.tStates, showWord(step.pc), hex(step.bytes)],
        waiting[step.kind] ?? instructionText(step, nameOf),
        ...(isInstruction && line !== undefined ? [line.line, line.source.trim()] : [null, null]),
        ...pairs.map((pair) => showWord(step.after[pair])),
        ...[Number(step.after.iff1), writesText(step)],
      ]
    }
    first += steps.length
    if (steps.length === 0) return
  }
}

function instructionText({ bytes, pc }: TraceStep, nameOf: NameOf | undefined): string {
  return disassembleAt((address) => bytes[(address - pc) & 0xffff] ?? 0, pc, nameOf).text
}

function writesText({ memoryWrites }: TraceStep): string | null {
  if (memoryWrites.length === 0) return null
  return memoryWrites.map(({ address, value }) => `${showWord(address)}: ${showByte(value)}`).join('; ')
}

function hex(bytes: readonly number[]): string {
  return bytes.map(byteDigits).join(' ')
}
