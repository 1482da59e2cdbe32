import { TraceLink, type TracePort } from './link.ts'

/** A fresh worker with a run of its own. */
export function startTraceWorker(): TraceLink {
  const worker = new Worker(new URL('./trace-worker.ts', import.meta.url), { type: 'module', name: 'trace' })
  return new TraceLink(worker as TracePort)
}
