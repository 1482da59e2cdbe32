import type { DataFlow, Sources } from '../../cpu/index.ts'
import { nowhere } from './slice.ts'

const partCount = 31

/** The parts of the registers that are asked for at the moment, each with how far it is from the question. */
export class LiveParts {
  #parts = 0
  readonly #followed: number
  readonly #depths = new Int32Array(partCount).fill(nowhere)

  /** Parts of which nothing is asked are left out of `followed`. */
  constructor(followed: number) {
    this.#followed = followed
  }

  get parts(): number {
    return this.#parts
  }

  need(wanted: number, depth: number): void {
    const parts = wanted & this.#followed
    this.#parts |= parts
    for (let rest = parts; rest !== 0; rest &= rest - 1) {
      const part = 31 - Math.clz32(rest & -rest)
      this.#depths[part] = Math.min(this.#depths[part] ?? depth, depth)
    }
  }

  /** The nearest of some parts. */
  depthOf(parts: number): number {
    let depth = nowhere
    for (let rest = parts; rest !== 0; rest &= rest - 1) {
      depth = Math.min(depth, this.#depths[31 - Math.clz32(rest & -rest)] ?? depth)
    }
    return depth
  }

  /** An instruction made some of them: what it made them of is asked for instead, so much farther away. Returns that. */
  goBack(flow: DataFlow, made: number, farther: number): Sources {
    let parts = 0
    let reads = 0
    let isInput = false
    const depth = this.depthOf(made)
    for (let rest = made; rest !== 0; rest &= rest - 1) {
      const part = 31 - Math.clz32(rest & -rest)
      const from = flow.from(part)
      parts |= from.parts
      reads |= from.reads
      isInput ||= from.isInput
      this.#depths[part] = nowhere
    }
    this.#parts &= ~made
    this.need(parts, depth + farther)
    return { parts, reads, isInput }
  }
}
