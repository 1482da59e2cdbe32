import { TraceLink, type TracePort } from './link.ts'

/** A fresh worker with a run of its own. */
export function startTraceWorker(): TraceLink {
  const worker = new Worker(new URL('./trace-worker.ts', import.meta.url), { type: 'module', name: 'trace' })
  return new TraceLink(worker as TracePort)
}

/** A worker that loads while the page still waits for what it is to run; the first link taken is its. */
export class HeadStart {
  #ready: TraceLink | null = startTraceWorker()

  readonly take = (): TraceLink => {
    const link = this.#ready ?? startTraceWorker()
    this.#ready = null
    return link
  }

  /** Lets the worker go that nobody took. */
  close(): void {
    this.#ready?.close()
    this.#ready = null
  }
}
