/**
 * The server's time, as well as it is known here: receipts and due times are counted by it, so a page must count down by
 * it too, even on a machine whose clock is wrong.
 */
export class Clock {
  readonly #read: () => number
  #ahead = $state(0)
  #tick = $state(0)

  constructor(read: () => number = () => Date.now()) {
    this.#read = read
  }

  /** Milliseconds since 1970 by the server's clock; changes with each `tick`. */
  get now(): number {
    void this.#tick
    return this.#read() + this.#ahead
  }

  /** The server says what time it is. */
  set(serverNow: string): void {
    this.#ahead = Date.parse(serverNow) - this.#read()
  }

  tick(): void {
    this.#tick += 1
  }
}
