import type { Addr } from '../../cpu/index.ts'

/** Branches whose last time before is asked for: any one of a set fulfils the wish for it. */
export class WantedBranches {
  #wishes: { readonly anyOf: ReadonlySet<Addr>; readonly depth: number }[] = []
  readonly #isWanted = new Uint8Array(0x10000)

  get isEmpty(): boolean {
    return this.#wishes.length === 0
  }

  has(pc: Addr): boolean {
    return this.#isWanted[pc] !== 0
  }

  add(anyOf: ReadonlySet<Addr>, depth: number): void {
    if (anyOf.size === 0) return
    if (this.#wishes.some((each) => isSameSet(each.anyOf, anyOf))) return
    this.#wishes.push({ anyOf, depth })
    for (const pc of anyOf) this.#isWanted[pc] = 1
  }

  /** Takes off the wishes that an instruction fulfils; returns the least depth among them, null for none. */
  fulfil(pc: Addr): number | null {
    if (!this.has(pc)) return null
    const depths = this.#wishes.filter(({ anyOf }) => anyOf.has(pc)).map(({ depth }) => depth)
    this.#wishes = this.#wishes.filter(({ anyOf }) => !anyOf.has(pc))
    this.#isWanted.fill(0)
    for (const { anyOf } of this.#wishes) for (const each of anyOf) this.#isWanted[each] = 1
    return Math.min(...depths)
  }
}

function isSameSet(a: ReadonlySet<Addr>, b: ReadonlySet<Addr>): boolean {
  return a.size === b.size && [...a].every((each) => b.has(each))
}
