import { TraceDesk } from '../../../web/trace/worker/desk.ts'
import { type TracePort, TraceLink } from '../../../web/trace/worker/link.ts'

/** A link to a desk in the same thread: what goes between them is cloned as a worker's messages are. */
export function linkToDesk(): TraceLink {
  const port: TracePort = { postMessage: () => {}, onmessage: null, terminate: () => {} }
  const desk = new TraceDesk({
    post: (reply) => port.onmessage?.({ data: structuredClone(reply) }),
    pause: () => new Promise((resolve) => setTimeout(resolve, 0)),
  })
  port.postMessage = (request) => void desk.handle(structuredClone(request))
  return new TraceLink(port)
}
