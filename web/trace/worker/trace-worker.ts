import { TraceDesk } from './desk.ts'
import type { TraceReply, TraceRequest } from './protocol.ts'
import { warmUp } from './warm-up.ts'

/** What of a worker's own scope is used; the DOM types of this project describe a window. */
interface Scope {
  onmessage: ((event: MessageEvent<TraceRequest>) => void) | null
  postMessage(reply: TraceReply, options: { transfer: Transferable[] }): void
}
const scope = globalThis as unknown as Scope

const channel = new MessageChannel()
const waiting: (() => void)[] = []
channel.port1.onmessage = () => waiting.shift()?.()
/** A turn of the event loop without the 4 ms that a timer waits. */
const pause = () =>
  new Promise<void>((resolve) => {
    waiting.push(resolve)
    channel.port2.postMessage(null)
  })

const desk = new TraceDesk({
  pause,
  post: (reply, handOver = []) => scope.postMessage(reply, { transfer: [...handOver] }),
})
scope.onmessage = (event) => void desk.handle(event.data)
warmUp()
