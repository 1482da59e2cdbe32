import type { Answer } from '../trace/index.ts'

/** A question put to a run: asked at a click, stopped at another, asked again after a fault. */
export class RunQuestion {
  readonly #put: (signal: AbortSignal) => Promise<Answer>
  #under: AbortController | null = null
  #isBusy = $state(false)
  #answer = $state.raw<Answer | null>(null)
  #isFaulty = $state(false)

  constructor(put: (signal: AbortSignal) => Promise<Answer>) {
    this.#put = put
  }

  get isBusy(): boolean {
    return this.#isBusy
  }

  get answer(): Answer | null {
    return this.#answer
  }

  /** The last try came to no answer, and nobody had stopped it. */
  get isFaulty(): boolean {
    return this.#isFaulty
  }

  async ask(): Promise<void> {
    if (this.#isBusy || this.#answer !== null) return
    const under = new AbortController()
    this.#under = under
    this.#isBusy = true
    this.#isFaulty = false
    try {
      const answer = await this.#put(under.signal)
      if (!under.signal.aborted) this.#answer = answer
    } catch {
      if (!under.signal.aborted) this.#isFaulty = true
    }
    if (this.#under === under) this.#isBusy = false
  }

  stop(): void {
    this.#under?.abort()
    this.#under = null
    this.#isBusy = false
  }
}
