import type { ApiFault } from './fault.ts'
import { toFault } from './fault.ts'

/** One thing that a form or a button does: busy while it lasts, with its fault until the next try. */
export class Action<Arguments extends readonly unknown[], Result> {
  readonly #run: (...args: Arguments) => Promise<Result>
  #isBusy = $state(false)
  #fault = $state.raw<ApiFault | null>(null)
  #isDone = $state(false)

  constructor(run: (...args: Arguments) => Promise<Result>) {
    this.#run = run
  }

  get isBusy(): boolean {
    return this.#isBusy
  }

  get fault(): ApiFault | null {
    return this.#fault
  }

  /** The last try succeeded. */
  get isDone(): boolean {
    return this.#isDone
  }

  /** Runs it once; a second call while it lasts does nothing. Null when it failed (see `fault`) or was running. */
  async run(...args: Arguments): Promise<Result | null> {
    if (this.#isBusy) return null
    this.#isBusy = true
    this.#isDone = false
    this.#fault = null
    try {
      const result = await this.#run(...args)
      this.#isDone = true
      return result
    } catch (error) {
      this.#fault = toFault(error)
      return null
    } finally {
      this.#isBusy = false
    }
  }

  clear(): void {
    this.#fault = null
    this.#isDone = false
  }
}
