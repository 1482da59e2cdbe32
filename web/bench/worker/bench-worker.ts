import { BenchDesk } from './desk.ts'
import type { BenchReply, BenchRequest } from './protocol.ts'

/** What of a worker's own scope is used; the DOM types of this project describe a window. */
interface Scope {
  onmessage: ((event: MessageEvent<BenchRequest>) => void) | null
  postMessage(reply: BenchReply): void
}
const scope = globalThis as unknown as Scope

const desk = new BenchDesk({
  post: (reply) => scope.postMessage(reply),
  now: () => performance.now(),
  later: (milliseconds, callback) => setTimeout(callback, milliseconds),
})
scope.onmessage = (event) => desk.handle(event.data)
