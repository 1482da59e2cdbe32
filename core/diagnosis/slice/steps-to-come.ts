import type { Addr } from '../../cpu/index.ts'
import type { Role } from './slice.ts'

/** What a step is to be looked at for: bytes that it wrote, or itself. */
export interface Due {
  readonly writer: { readonly bytes: ReadonlySet<Addr>; readonly depth: number } | null
  readonly asked: { readonly role: Role; readonly depth: number } | null
}

/** Steps known beforehand to have a part, the latest first. */
export class StepsToCome {
  /** In rising order. */
  readonly #steps: number[] = []
  readonly #writers = new Map<number, { readonly bytes: Set<Addr>; depth: number }>()
  readonly #asked = new Map<number, { readonly role: Role; readonly depth: number }>()

  /** The latest of them; -1 for none. */
  get next(): number {
    return this.#steps.at(-1) ?? -1
  }

  /** The step is to be looked at as one that wrote a byte. */
  addWriter(step: number, address: Addr, depth: number): void {
    const known = this.#writers.get(step)
    if (known === undefined) {
      this.#writers.set(step, { bytes: new Set([address]), depth })
      this.#push(step)
    } else {
      known.bytes.add(address)
      known.depth = Math.min(known.depth, depth)
    }
  }

  /** The step is to be looked at for itself; the first wish counts. */
  add(step: number, role: Role, depth: number): void {
    if (this.#asked.has(step)) return
    this.#asked.set(step, { role, depth })
    this.#push(step)
  }

  /** What is due at a step; it is taken off. */
  take(step: number): Due {
    if (this.next === step) this.#steps.pop()
    return { writer: this.#writers.get(step) ?? null, asked: this.#asked.get(step) ?? null }
  }

  #push(step: number): void {
    let at = this.#steps.length
    while (at > 0 && (this.#steps[at - 1] ?? 0) > step) at -= 1
    if (this.#steps[at - 1] !== step) this.#steps.splice(at, 0, step)
  }
}
