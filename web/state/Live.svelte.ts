import type { ClientMessage, closeCodes, ServerMessage } from '../../server/contract/index.ts'

export type LiveState = 'connecting' | 'live' | 'reconnecting'
type Listener = (message: ServerMessage) => void

/** One thing watched by one listener; its identity is what ends it. */
interface Watch {
  readonly message: ClientMessage
  readonly listener: Listener
}

/** What of a WebSocket is used; a test passes its own. */
export interface Socket {
  readonly readyState: number
  onopen: ((event: never) => void) | null
  onmessage: ((event: never) => void) | null
  onclose: ((event: never) => void) | null
  send(text: string): void
  close(): void
}

export interface LiveOptions {
  open(): Socket
  /** Calls back after some milliseconds; returns what cancels it. */
  after(milliseconds: number, callback: () => void): () => void
}

const open = 1
/** As the contract says them: another number does not compile. */
const codes: typeof closeCodes = { signedOut: 4001, notAMember: 4003 }
const firstPause = 400
const longestPause = 15_000

/**
 * The one live connection of a page. It opens with the first watch, comes back by itself when it breaks, watches the same
 * things again, and then sends `refetch` to every listener: what happened in between was missed.
 */
export class Live {
  readonly #options: LiveOptions
  #watches: readonly Watch[] = []
  #state = $state<LiveState>('connecting')
  #socket: Socket | null = null
  #pause = firstPause
  #cancelRetry: (() => void) | null = null
  #wasLive = false
  /** Called when the server ended the view, because nobody is signed in any more or is no member of the course. */
  onRightsEnded: () => void = () => {}

  constructor(options: LiveOptions) {
    this.#options = options
  }

  get state(): LiveState {
    return this.#state
  }

  /** Everything of a course that the reader may hear. Returns what ends it. */
  watchCourse(courseId: string, listener: Listener): () => void {
    return this.#watch({ kind: 'watch', courseId }, listener)
  }

  watchSubmission(submissionId: string, listener: Listener): () => void {
    return this.#watch({ kind: 'watch-submission', submissionId }, listener)
  }

  /** Tries at once instead of at the end of the pause: the network is back, the page is looked at again. */
  retryNow(): void {
    if (this.#socket !== null || this.#watches.length === 0) return
    this.#cancelRetry?.()
    this.#connect()
  }

  close(): void {
    this.#cancelRetry?.()
    this.#cancelRetry = null
    this.#watches = []
    this.#drop()
    this.#wasLive = false
    this.#state = 'connecting'
  }

  #watch(message: ClientMessage, listener: Listener): () => void {
    const watch: Watch = { message, listener }
    this.#watches = [...this.#watches, watch]
    if (this.#socket === null && this.#cancelRetry === null) this.#connect()
    else this.#send(message)
    return () => this.#unwatch(watch)
  }

  #unwatch(watch: Watch): void {
    if (!this.#watches.includes(watch)) return
    this.#watches = this.#watches.filter((other) => other !== watch)
    const isStillWatched = this.#watches.some((other) => keyOf(other.message) === keyOf(watch.message))
    if (!isStillWatched) this.#send(endOf(watch.message))
  }

  #connect(): void {
    this.#cancelRetry = null
    const socket = this.#options.open()
    this.#socket = socket
    socket.onopen = () => this.#opened(socket)
    socket.onmessage = (event: { data: unknown }) => this.#heard(event.data)
    socket.onclose = ({ code }: { code?: number }) => this.#closed(socket, code)
  }

  #opened(socket: Socket): void {
    if (socket !== this.#socket) return
    this.#pause = firstPause
    this.#state = 'live'
    for (const message of distinct(this.#watches)) this.#send(message)
    if (this.#wasLive) this.#tell({ kind: 'refetch' })
    this.#wasLive = true
  }

  #heard(data: unknown): void {
    const message = typeof data === 'string' ? parse(data) : null
    if (message !== null) this.#tell(message)
  }

  #closed(socket: Socket, code: number | undefined): void {
    if (socket !== this.#socket) return
    this.#drop()
    if (code === codes.signedOut || code === codes.notAMember) this.onRightsEnded()
    // Nobody would be let in; whoever signs in again watches anew.
    if (code === codes.signedOut) return
    if (this.#watches.length === 0) return
    this.#state = 'reconnecting'
    this.#cancelRetry = this.#options.after(this.#pause, () => this.#connect())
    this.#pause = Math.min(this.#pause * 2, longestPause)
  }

  #drop(): void {
    const socket = this.#socket
    this.#socket = null
    if (socket === null) return
    socket.onopen = socket.onmessage = socket.onclose = null
    socket.close()
  }

  #send(message: ClientMessage): void {
    if (this.#socket?.readyState === open) this.#socket.send(JSON.stringify(message))
  }

  #tell(message: ServerMessage): void {
    for (const watch of this.#watches) watch.listener(message)
  }
}

function parse(text: string): ServerMessage | null {
  try {
    return JSON.parse(text) as ServerMessage
  } catch {
    return null
  }
}

function distinct(watches: readonly Watch[]): readonly ClientMessage[] {
  const messages = watches.map((watch) => watch.message)
  return messages.filter((message, at) => messages.findIndex((other) => keyOf(other) === keyOf(message)) === at)
}

const keyOf = (message: ClientMessage): string => JSON.stringify(message)

function endOf(message: ClientMessage): ClientMessage {
  return message.kind === 'watch' || message.kind === 'unwatch'
    ? { kind: 'unwatch', courseId: message.courseId }
    : { kind: 'unwatch-submission', submissionId: message.submissionId }
}

/** The connection of a browser: same host, by the clock of the window. */
export function browserLive(): Live {
  const scheme = location.protocol === 'https:' ? 'wss:' : 'ws:'
  return new Live({
    open: () => new WebSocket(`${scheme}//${location.host}/api/live`),
    after: (milliseconds, callback) => {
      const timer = setTimeout(callback, milliseconds)
      return () => clearTimeout(timer)
    },
  })
}
