/** Eight bytes side by side, as they are keyed. */
export interface MemoryRow {
  readonly address: number
  readonly cells: readonly MemoryCell[]
}

export interface MemoryCell {
  readonly address: number
  readonly value: number
  /** What stood here before the last step wrote it; null where it wrote nothing. */
  readonly was: number | null
  /** Registers that point here. */
  readonly pointers: readonly string[]
}

export interface MemoryView {
  readonly read: (address: number) => number
  readonly writes: readonly { readonly address: number; readonly before: number; readonly value: number }[]
  readonly pointers: Readonly<Record<string, number>>
}

export const bytesInRow = 8

/** `rows` rows about `centre`, its own row the third; addresses go on round the end of memory. */
export function memoryRows(view: MemoryView, centre: number, rows: number): readonly MemoryRow[] {
  const first = (centre & ~(bytesInRow - 1)) - 2 * bytesInRow
  return Array.from({ length: rows }, (_, row) => {
    const address = (first + row * bytesInRow) & 0xffff
    const cells = Array.from({ length: bytesInRow }, (_, i) => cellAt(view, (address + i) & 0xffff))
    return { address, cells }
  })
}

function cellAt(view: MemoryView, address: number): MemoryCell {
  const write = view.writes.findLast((write) => write.address === address)
  const pointers = Object.entries(view.pointers).flatMap(([name, value]) => (value === address ? [name] : []))
  return { address, value: view.read(address), was: write?.before ?? null, pointers }
}
