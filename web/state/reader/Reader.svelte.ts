import type { Program, ProgramFormat, ReadOptions } from '../../../core/assembler/index.ts'
import type { ReadReply, ReadRequest } from './protocol.ts'

/** What of a Worker is used; a test passes its own. */
export interface Desk {
  onmessage: ((event: MessageEvent<ReadReply>) => void) | null
  postMessage(request: ReadRequest): void
  terminate(): void
}

/** Reads programs on a desk of its own (a web worker), one at a time; of those that wait only the newest is read. */
export class Reader {
  readonly #desk: Desk
  #program = $state.raw<Program | null>(null)
  #isReading = $state(false)
  #number = 0
  #waiting: ReadRequest | null = null

  constructor(desk: Desk) {
    this.#desk = desk
    desk.onmessage = (event) => this.#answered(event.data)
  }

  /** The last text that was read, as a program; null before the first. */
  get program(): Program | null {
    return this.#program
  }

  /** A newer text than that of `program` is being read. */
  get isReading(): boolean {
    return this.#isReading
  }

  read(format: ProgramFormat, text: string, options: ReadOptions): void {
    this.#number += 1
    const request: ReadRequest = { number: this.#number, format, text, options }
    if (this.#isReading) this.#waiting = request
    else this.#send(request)
  }

  close(): void {
    this.#desk.onmessage = null
    this.#desk.terminate()
  }

  #send(request: ReadRequest): void {
    this.#isReading = true
    this.#desk.postMessage(request)
  }

  #answered(reply: ReadReply): void {
    this.#program = reply.program
    this.#isReading = false
    const next = this.#waiting
    this.#waiting = null
    if (next !== null) this.#send(next)
  }
}
