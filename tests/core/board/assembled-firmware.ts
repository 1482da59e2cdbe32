import { readFileSync } from 'node:fs'
import { join } from 'node:path'
import { assemble } from '../../../core/assembler/index.ts'
import type { AssembledFirmware } from '../../../core/board/firmware/module-text.ts'

const folder = join(import.meta.dirname, '../../../core/board')

/** The firmware's source. */
export const firmwareSource = readFileSync(join(folder, 'firmware/bench-8.asm'), 'utf8')

/** The module made from it. */
export const firmwareModule = join(folder, 'generated/bench-8-firmware.ts')

/** The firmware put together by the project's own assembler; throws where it has a mistake. */
export function assembleFirmware(): AssembledFirmware {
  const program = assemble(firmwareSource, { origin: 0, maxBytes: 0x1000 })
  const [problem] = program.problems
  if (problem !== undefined) throw new Error(`bench-8.asm line ${problem.at.line}: ${problem.message}`)
  const end = Math.max(...program.image.segments.map(({ start, bytes }) => start + bytes.length))
  // Nothing stands between the parts: the ROM is FFh there.
  const bytes = new Uint8Array(end).fill(0xff)
  for (const segment of program.image.segments) bytes.set(segment.bytes, segment.start)
  const labels = program.listing.flatMap(({ label, address }) =>
    label === null || address === null ? [] : [[label, address] as const],
  )
  return { bytes, symbols: program.symbols, labels: Object.fromEntries(labels) }
}
