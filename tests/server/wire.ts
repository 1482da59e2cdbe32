import net from 'node:net'

export type WireState = 'passes' | 'hangs' | 'refuses'

/** A wire to a server on this machine that can be cut, for tests of what hangs on it. */
export interface Wire {
  readonly port: number
  /** Connections that are open now, and the most there ever were at once. */
  readonly open: number
  readonly most: number
  /** `hangs`: what is sent is swallowed on both sides, new connections too; `refuses`: all are cut and none is taken. */
  set(state: WireState): void
  /** New connections go to another port from now on; the old ones are cut. */
  leadTo(port: number): void
  close(): Promise<void>
}

export async function layWire(to: number): Promise<Wire> {
  let [state, target, most]: [WireState, number, number] = ['passes', to, 0]
  const sockets = new Set<net.Socket>()
  const cut = (): void => {
    for (const socket of sockets) socket.destroy()
  }
  const server = net.createServer((near) => {
    if (state === 'refuses') return void near.destroy()
    const far = net.connect(target, '127.0.0.1')
    const pairs = [
      [near, far],
      [far, near],
    ] as const
    for (const [one, other] of pairs) {
      one.on('data', (piece) => state === 'passes' && other.write(piece))
      one.on('error', () => {})
      one.on('close', () => {
        other.destroy()
        sockets.delete(one)
      })
    }
    sockets.add(near)
    most = Math.max(most, sockets.size)
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  return {
    port: (server.address() as net.AddressInfo).port,
    get open() {
      return sockets.size
    },
    get most() {
      return most
    },
    set: (next) => {
      state = next
      if (next === 'refuses') cut()
    },
    leadTo: (port) => {
      target = port
      cut()
    },
    close: async () => {
      cut()
      await new Promise((resolve) => server.close(resolve))
    },
  }
}
