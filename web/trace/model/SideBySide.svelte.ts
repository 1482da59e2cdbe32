import type { Comparison } from '../../../core/diagnosis/index.ts'
import type { TraceLink } from '../worker/link.ts'
import type { TraceSubject } from '../worker/protocol.ts'
import { LockedTime } from './locked-time.ts'
import type { Span } from './span.ts'
import { TraceSession } from './TraceSession.svelte.ts'

/** What a canvas needs to know of where one looks. */
export interface AxisView {
  readonly window: Span
  readonly t: number
  readonly selection: Span | null
  zoom(factor: number, about: number): void
  pan(share: number): void
}

/** The model answer beside the hand-in: its own run, held to the other at the events that agree. */
export class SideBySide {
  readonly wanted: TraceSession
  readonly #found: TraceSession
  #comparison = $state.raw<Comparison | null>(null)
  readonly #lock = $derived.by(() => {
    const [found, wanted] = [this.#found.overview, this.wanted.overview]
    if (this.#comparison === null || found === null || wanted === null) return null
    return new LockedTime(this.#comparison.locked, found.tStates, wanted.tStates)
  })

  constructor(found: TraceSession, makeLink: () => TraceLink) {
    this.#found = found
    this.wanted = new TraceSession(makeLink)
  }

  /** T-state at which the hand-in stands. */
  get foundTime(): number {
    return this.#found.view?.t ?? 0
  }

  get comparison(): Comparison | null {
    return this.#comparison
  }

  get lock(): LockedTime | null {
    return this.#lock
  }

  /** The model's axis: where the hand-in's looks, in the model's own time. */
  get axis(): AxisView | null {
    const [found, wanted, lock] = [this.#found.view, this.wanted.view, this.#lock]
    if (found === null || wanted === null || lock === null) return null
    return {
      window: lock.wantedSpan(found.window),
      t: wanted.t,
      selection: found.selection === null ? null : lock.wantedSpan(found.selection),
      zoom: (factor, about) => found.zoom(factor, lock.foundAt(about)),
      pan: (share) => found.pan(share),
    }
  }

  /** Runs `model` and compares `found`'s run of the same case with it. */
  async open(model: TraceSubject, found: TraceSubject): Promise<void> {
    this.#comparison = null
    await this.wanted.open(model, 0)
    this.#comparison = await this.wanted.compare(found)
  }

  /** Follows the hand-in to T-state `t` of its own. */
  async follow(t: number): Promise<void> {
    if (this.#lock !== null) await this.wanted.goToTime(this.#lock.wantedAt(t))
  }

  close(): void {
    this.wanted.close()
  }
}
