import type { Addr, Byte } from '../cpu/index.ts'
import type { DisassembledLine } from './disassemble.ts'
import type { FilledMemory } from './flow.ts'
import { byteLiteral } from './instruction-text.ts'

const bytesPerLine = 8
/** As many equal bytes in a row make one line. */
const leastRun = 16

/** A DB of these bytes. */
export function dataText(bytes: readonly Byte[]): string {
  return `DB ${bytes.map(byteLiteral).join(',')}`
}

/** The bytes from `from` up to `to` (excluded) as DB and DS lines; one begins at each label and comment. */
export function dataLines(
  memory: FilledMemory,
  from: Addr,
  to: Addr,
  labels: ReadonlyMap<Addr, string>,
  comments: ReadonlyMap<Addr, string>,
): DisassembledLine[] {
  const lines: DisassembledLine[] = []
  const isBreak = (address: Addr) => address >= to || labels.has(address) || comments.has(address)
  for (let address = from; address < to;) {
    const run = runLength(memory, address, isBreak)
    let length = run
    if (run < leastRun) {
      length = 1
      while (length < bytesPerLine && !isBreak(address + length)) {
        if (runLength(memory, address + length, isBreak) >= leastRun) break
        length += 1
      }
    }
    const bytes = Array.from({ length }, (_, i) => memory.byteAt(address + i))
    lines.push({
      kind: 'data',
      address,
      bytes,
      label: labels.get(address) ?? null,
      text: run < leastRun ? dataText(bytes) : `DS ${run},${byteLiteral(bytes[0] ?? 0)}`,
      comment: comments.get(address) ?? null,
      tStates: null,
      tStatesNotTaken: null,
    })
    address += length
  }
  return lines
}

/** How many bytes from `from` on are equal, up to the next break. */
function runLength(memory: FilledMemory, from: Addr, isBreak: (address: Addr) => boolean): number {
  let length = 1
  while (!isBreak(from + length) && memory.byteAt(from + length) === memory.byteAt(from)) length += 1
  return length
}
