import type { ApiFault } from './fault.ts'
import { toFault } from './fault.ts'

/** Something fetched: what came, or why it did not. A later `load` wins over an earlier one that answers late. */
export class Resource<T> {
  readonly #fetch: () => Promise<T>
  #value = $state.raw<T | null>(null)
  #fault = $state.raw<ApiFault | null>(null)
  #isLoading = $state(false)
  #round = 0

  constructor(fetcher: () => Promise<T>) {
    this.#fetch = fetcher
  }

  /** The last answer; kept while a newer one is fetched, and when fetching it fails. */
  get value(): T | null {
    return this.#value
  }

  /** Why the last `load` failed; null once one has succeeded. */
  get fault(): ApiFault | null {
    return this.#fault
  }

  get isLoading(): boolean {
    return this.#isLoading
  }

  async load(): Promise<void> {
    const round = (this.#round += 1)
    this.#isLoading = true
    try {
      const value = await this.#fetch()
      if (round !== this.#round) return
      this.#value = value
      this.#fault = null
    } catch (error) {
      if (round !== this.#round) return
      this.#fault = toFault(error)
    }
    this.#isLoading = false
  }

  /** Takes an answer that came another way: the reply to a change, a live message. Answers under way are dropped. */
  put(value: T): void {
    this.#round += 1
    this.#value = value
    this.#fault = null
    this.#isLoading = false
  }

  /** Changes the value in place, where there is one. */
  change(change: (value: T) => T): void {
    if (this.#value !== null) this.#value = change(this.#value)
  }
}
