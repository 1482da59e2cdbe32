/** Panels whose size can be changed; sizes in CSS pixels. */
export type SizedPanel = 'axis' | 'side' | 'registers' | 'more'

export type PanelName = 'axis' | 'listing' | 'registers' | 'notes' | 'ask' | 'memory' | 'stack' | 'pairs'

interface Limits {
  readonly min: number
  readonly max: number
  readonly usual: number
}

type Store = Pick<Storage, 'getItem' | 'setItem'>

const key = 'hexcairn-trace-sizes'
const sized = ['axis', 'side', 'registers', 'more'] as const

/** What each other panel needs at least, so that none is pushed out of the window. */
const least = { axis: 96, listing: 300, machine: 160, registers: 250, side: 250, more: 250 } as const

/** How the trace is laid out in its window: the sizes somebody chose, kept for the next time, and the panel at the side. */
export class Arrangement {
  /** The panel that lies open at the side, or alone on a small screen. */
  shown = $state<PanelName>('notes')
  /** All findings are to be read, not only the first. */
  isStripOpen = $state(false)
  #wide = $state(1280)
  #high = $state(560)
  #chosen = $state.raw<Partial<Record<SizedPanel, number>>>({})
  readonly #store: Store | null

  constructor(store: Store | null = null) {
    this.#store = store
    this.#chosen = readSizes(store?.getItem(key) ?? null)
  }

  /** The room there is for all panels. */
  measure(wide: number, high: number): void {
    this.#wide = wide
    this.#high = high
  }

  /** Memory and stack have a column of their own. */
  get hasMore(): boolean {
    return this.#wide >= 1560
  }

  limits(panel: SizedPanel): Limits {
    const { [panel]: min } = least
    const usual = this.#usual(panel)
    const max = Math.max(min, this.#max(panel))
    return { min, max, usual: Math.min(Math.max(usual, min), max) }
  }

  /** What was chosen, as far as the window has room for it. */
  size(panel: SizedPanel): number {
    const { min, max, usual } = this.limits(panel)
    return Math.min(Math.max(this.#chosen[panel] ?? usual, min), max)
  }

  resize(panel: SizedPanel, size: number): void {
    const { min, max } = this.limits(panel)
    this.#keep({ ...this.#chosen, [panel]: Math.min(Math.max(Math.round(size), min), max) })
  }

  /** Back to the usual size. */
  reset(panel: SizedPanel): void {
    this.#keep(Object.fromEntries(Object.entries(this.#chosen).filter(([name]) => name !== panel)))
  }

  #usual(panel: SizedPanel): number {
    switch (panel) {
      case 'axis':
        return this.#high * 0.32
      case 'side':
        return this.#wide * (this.hasMore ? 0.22 : 0.28)
      case 'registers':
        return this.#wide < 1400 ? 336 : 380
      case 'more':
        return this.#wide * 0.19
    }
  }

  #max(panel: SizedPanel): number {
    switch (panel) {
      case 'axis':
        return this.#high - least.machine - 120
      case 'side':
        return this.#wide - least.listing - least.registers - (this.hasMore ? least.more : 0)
      case 'more':
        return this.#wide - least.listing - least.registers - this.size('side')
      case 'registers':
        return this.#wide - least.listing - this.size('side') - (this.hasMore ? this.size('more') : 0)
    }
  }

  #keep(chosen: Partial<Record<SizedPanel, number>>): void {
    this.#chosen = chosen
    this.#store?.setItem(key, JSON.stringify(chosen))
  }
}

/** What is no size is left out: a store may hold anything. */
function readSizes(text: string | null): Partial<Record<SizedPanel, number>> {
  try {
    const read: unknown = JSON.parse(text ?? '{}')
    if (typeof read !== 'object' || read === null) return {}
    const fields = new Map<string, unknown>(Object.entries(read))
    return Object.fromEntries(
      sized.flatMap((name) => {
        const value = fields.get(name)
        return typeof value === 'number' && Number.isFinite(value) && value > 0 ? [[name, value]] : []
      }),
    )
  } catch {
    return {}
  }
}
