import type { Endings, ReplyOf, TraceFailure, TraceReply, TraceRequest } from './protocol.ts'

/** The part of a Worker that is used here; a test gives its own. */
export interface TracePort {
  postMessage(request: TraceRequest): void
  onmessage: ((event: { readonly data: TraceReply }) => unknown) | null
  terminate(): void
}

/** Thrown by `ask` when the worker says no; `failure` tells why in a form to switch over. */
export class TraceRefusal extends Error {
  readonly failure: TraceFailure

  constructor(failure: TraceFailure) {
    super(failure.kind)
    this.failure = failure
  }
}

/** Thrown by `ask` when the request was given up. */
export class TraceCancelled extends Error {}

type Body<K extends keyof Endings> = Omit<Extract<TraceRequest, { kind: K }>, 'kind' | 'id'>
type Partial = Extract<TraceReply, { kind: 'progress' | 'lane' }>

interface Waiting {
  readonly settle: (reply: TraceReply) => void
  readonly abandon: (reason: Error) => void
  readonly onPart: ((part: Partial) => void) | undefined
}

export interface AskOptions {
  readonly onPart?: (part: Partial) => void
  readonly signal?: AbortSignal
}

/** Questions to the worker as promises. */
export class TraceLink {
  readonly #port: TracePort
  readonly #waiting = new Map<number, Waiting>()
  #nextId = 1

  constructor(port: TracePort) {
    this.#port = port
    port.onmessage = (event) => this.#receive(event.data)
  }

  ask<K extends keyof Endings>(kind: K, body: Body<K>, options: AskOptions = {}): Promise<ReplyOf<K>> {
    const id = this.#nextId++
    const { signal } = options
    if (signal?.aborted === true) return Promise.reject(new TraceCancelled())
    return new Promise((resolve, reject) => {
      const giveUp = () => this.#port.postMessage({ kind: 'cancel', id: this.#nextId++, of: id })
      signal?.addEventListener('abort', giveUp, { once: true })
      this.#waiting.set(id, {
        settle: (reply) => {
          signal?.removeEventListener('abort', giveUp)
          if (reply.kind === 'failed') reject(new TraceRefusal(reply.failure))
          else if (reply.kind === 'cancelled') reject(new TraceCancelled())
          else resolve(reply as ReplyOf<K>)
        },
        abandon: reject,
        onPart: options.onPart,
      })
      this.#port.postMessage({ kind, id, ...body } as unknown as TraceRequest)
    })
  }

  /** Ends the worker at once, whatever it is doing; every open question is answered with TraceCancelled. */
  close(): void {
    this.#port.onmessage = null
    this.#port.terminate()
    for (const waiting of this.#waiting.values()) waiting.abandon(new TraceCancelled())
    this.#waiting.clear()
  }

  #receive(reply: TraceReply): void {
    const waiting = this.#waiting.get(reply.id)
    if (waiting === undefined) return
    if (reply.kind === 'progress' || reply.kind === 'lane') {
      waiting.onPart?.(reply)
      return
    }
    this.#waiting.delete(reply.id)
    waiting.settle(reply)
  }
}
