/** Longest real time that is made up for: a machine that was put to sleep must not rush afterwards. */
const longestMakeUp = 100
/** As fast as it goes: this much of each frame is spent running, the rest hears messages. */
const busyMilliseconds = 12
const shareAtFullSpeed = 200_000

/** How many T-states are due, from a clock and the chosen speed. */
export class Pace {
  readonly #now: () => number
  #factor: number | null = 1
  #last = 0
  /** T-states that were due and have not been run; below 0 when too many were. */
  #owed = 0

  constructor(now: () => number) {
    this.#now = now
  }

  /** Board seconds a second; null for as fast as it goes. */
  choose(factor: number | null): void {
    this.#factor = factor
    this.start()
  }

  /** Nothing is due for the time before. */
  start(): void {
    this.#last = this.#now()
    this.#owed = 0
  }

  /** Instructions are not cut, so a little more may be run than was due: that is taken off the next share. */
  spent(tStates: number): void {
    this.#owed -= tStates
  }

  /** The T-states due since the last call, in one share; at full speed share after share until the time is used up. */
  *shares(clockHz: number): Generator<number> {
    const began = this.#now()
    if (this.#factor === null) {
      this.start()
      do yield shareAtFullSpeed
      while (this.#now() - began < busyMilliseconds)
      this.#owed = 0
      return
    }
    const elapsed = Math.min(began - this.#last, longestMakeUp)
    this.#last = began
    this.#owed += (elapsed / 1000) * clockHz * this.#factor
    if (this.#owed >= 1) yield Math.floor(this.#owed)
  }
}
