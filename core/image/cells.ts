import type { Addr, Byte } from '../cpu/index.ts'
import type { Segment } from './image.ts'

const pageSize = 256

interface Page {
  readonly bytes: Uint8Array
  readonly owners: Int32Array
}

/** Memory being filled: each cell has a byte and the number of who put it there. Only pages in use take up room. */
export class Cells {
  readonly #pages: (Page | undefined)[] = []

  /** Who filled a cell, 0 for nobody. */
  ownerAt(address: Addr): number {
    return this.#pages[address >> 8]?.owners[address & 0xff] ?? 0
  }

  byteAt(address: Addr): Byte {
    return this.#pages[address >> 8]?.bytes[address & 0xff] ?? 0
  }

  /** Fills a cell from 0000h to FFFFh, whatever it held. `owner` is not 0. */
  put(address: Addr, byte: Byte, owner: number): void {
    const page = (this.#pages[address >> 8] ??= {
      bytes: new Uint8Array(pageSize),
      owners: new Int32Array(pageSize),
    })
    page.bytes[address & 0xff] = byte
    page.owners[address & 0xff] = owner
  }

  /** The runs of filled cells, in ascending order. */
  segments(): Segment[] {
    const segments: Segment[] = []
    let start = -1
    const close = (end: number): void => {
      if (start < 0) return
      segments.push({ start, bytes: Uint8Array.from({ length: end - start }, (_, i) => this.byteAt(start + i)) })
      start = -1
    }
    for (let page = 0; page < this.#pages.length; page += 1) {
      const owners = this.#pages[page]?.owners
      for (let i = 0; i < pageSize; i += 1) {
        const isFilled = owners !== undefined && owners[i] !== 0
        if (isFilled && start < 0) start = page * pageSize + i
        if (!isFilled && start >= 0) close(page * pageSize + i)
        if (owners === undefined) break
      }
    }
    close(this.#pages.length * pageSize)
    return segments
  }
}
