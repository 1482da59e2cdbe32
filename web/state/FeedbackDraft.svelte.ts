import { feedbackKinds } from '../../core/exercise/index.ts'
import type { FeedbackKind, FeedbackSettings } from '../../server/contract/index.ts'

/** How reports speak, while it is changed: order of the kinds, what is switched off, other words for single messages. */
export class FeedbackDraft {
  readonly #base: readonly FeedbackKind[]
  readonly #saved: FeedbackSettings
  #order = $state.raw<readonly FeedbackKind[] | null>(null)
  #off = $state.raw<readonly string[]>([])
  #texts = $state.raw<Readonly<Record<string, string>>>({})

  /** `base` is the order that holds where the settings name none. */
  constructor(settings: FeedbackSettings, base: readonly FeedbackKind[] | null = null) {
    this.#base = whole(base ?? [])
    this.#saved = settings
    this.#order = settings.order
    this.#off = settings.off
    this.#texts = settings.texts
  }

  /** All kinds, in the order in which they come. */
  get kinds(): readonly FeedbackKind[] {
    return this.#order === null ? this.#base : whole(this.#order)
  }

  get settings(): FeedbackSettings {
    return {
      order: this.#order === null ? null : [...this.#order],
      off: [...this.#off],
      texts: Object.fromEntries(Object.entries(this.#texts).filter(([, text]) => text.trim() !== '')),
    }
  }

  get isChanged(): boolean {
    return JSON.stringify(this.settings) !== JSON.stringify(this.#saved)
  }

  /** The order is the one of the level above. */
  get hasOwnOrder(): boolean {
    return this.#order !== null
  }

  isOff(name: string): boolean {
    return this.#off.includes(name)
  }

  textOf(id: string): string {
    return this.#texts[id] ?? ''
  }

  /** Puts a kind one place earlier (-1) or later (1); at the ends nothing moves. */
  move(kind: FeedbackKind, by: -1 | 1): void {
    const kinds = [...this.kinds]
    const at = kinds.indexOf(kind)
    const other = kinds[at + by]
    if (at === -1 || other === undefined) return
    kinds[at] = other
    kinds[at + by] = kind
    this.#order = kinds
  }

  /** Takes the own order away. */
  followOrder(): void {
    this.#order = null
  }

  /** Switches a kind or a single message on or off. */
  toggle(name: string): void {
    this.#off = this.isOff(name) ? this.#off.filter((each) => each !== name) : [...this.#off, name]
  }

  /** Other words for a message; none gives it its own back. */
  word(id: string, text: string): void {
    this.#texts = { ...this.#texts, [id]: text }
  }
}

function whole(order: readonly FeedbackKind[]): readonly FeedbackKind[] {
  return [...order, ...feedbackKinds.filter((kind) => !order.includes(kind))]
}
