import pg from 'pg'
import { setTimeout as pause } from 'node:timers/promises'

export interface ListenerOptions {
  readonly connectionString: string
  readonly channel: string
  readonly hear: (payload: string) => void
  /** Called when it listens again after a break: what was sent meanwhile is lost. */
  readonly onGap: () => void
}

/** Milliseconds between two tries to connect: the first, and the longest. A database that is back is found within two seconds. */
const [shortestWait, longestWait] = [100, 1200]
/** Milliseconds that connecting, and an answer to a small question, may take. */
const patience = 2000
/** Milliseconds between two questions whether the other end is still there: a cut cable tells nobody. */
const heartbeat = 5000

/**
 * Listens on a channel of a PostgreSQL server over one connection of its own, and opens it again when it breaks or falls
 * silent. Rejects when the first connection cannot be made. Gives back the function that stops it.
 */
export async function keepListening(options: ListenerOptions): Promise<() => Promise<void>> {
  const stopping = new AbortController()
  const { signal } = stopping
  let client = await open(options)

  async function run(): Promise<void> {
    for (;;) {
      await untilBroken(client, signal)
      await discard(client)
      if (signal.aborted) return
      const next = await reopen(options, signal)
      if (next === null) return
      client = next
      options.onGap()
    }
  }
  const running = run()
  return async () => {
    stopping.abort()
    await running
  }
}

async function open({ connectionString, channel, hear }: ListenerOptions): Promise<pg.Client> {
  const client = new pg.Client({
    connectionString,
    keepAlive: true,
    connectionTimeoutMillis: patience,
    query_timeout: patience,
  })
  // Without a listener an error of the socket would end the process; `untilBroken` hears of it as an end.
  client.on('error', () => {})
  client.on('notification', (message) => hear(message.payload ?? ''))
  try {
    await client.connect()
    await client.query(`LISTEN ${client.escapeIdentifier(channel)}`)
    return client
  } catch (error) {
    await discard(client)
    throw error
  }
}

/** One try after the other, further and further apart; null once it is to stop. */
async function reopen(options: ListenerOptions, signal: AbortSignal): Promise<pg.Client | null> {
  for (let wait = shortestWait; !signal.aborted; wait = Math.min(wait * 2, longestWait)) {
    // Servers that lost the database at once do not come back at once.
    await pause(wait * (0.75 + Math.random() / 2), undefined, { ref: false, signal }).catch(() => {})
    if (signal.aborted) break
    const client = await open(options).catch(() => null)
    if (client === null) continue
    if (!signal.aborted) return client
    await discard(client)
  }
  return null
}

/** Resolves when the connection has ended or no longer answers, or when it is to stop. */
async function untilBroken(client: pg.Client, signal: AbortSignal): Promise<void> {
  if (signal.aborted) return
  await new Promise<void>((resolve) => {
    const beat = setInterval(() => {
      client.query('select 1').catch(done)
    }, heartbeat)
    beat.unref()
    function done(): void {
      clearInterval(beat)
      client.off('end', done)
      signal.removeEventListener('abort', done)
      resolve()
    }
    client.once('end', done)
    signal.addEventListener('abort', done)
  })
}

/** Ends a connection, politely if the other end answers soon. */
async function discard(client: pg.Client): Promise<void> {
  const goodbye = client.end().catch(() => {})
  const late = pause(500, 'late' as const, { ref: false })
  if ((await Promise.race([goodbye, late])) === 'late') client.connection.stream.destroy()
}
