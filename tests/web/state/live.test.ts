import { describe, expect, test } from 'vitest'
import type { ServerMessage } from '../../../server/contract/index.ts'
import { Live, type Socket } from '../../../web/state/Live.svelte.ts'

class FakeSocket implements Socket {
  readyState = 0
  onopen: ((event: never) => void) | null = null
  onmessage: ((event: never) => void) | null = null
  onclose: ((event: never) => void) | null = null
  readonly sent: string[] = []
  send(text: string): void {
    this.sent.push(text)
  }
  close(): void {
    this.readyState = 3
  }
  opens(): void {
    this.readyState = 1
    this.onopen?.({} as never)
  }
  breaks(code = 1006): void {
    this.readyState = 3
    this.onclose?.({ code } as never)
  }
  says(message: unknown): void {
    this.onmessage?.({ data: typeof message === 'string' ? message : JSON.stringify(message) } as never)
  }
}

function wire() {
  const sockets: FakeSocket[] = []
  const pauses: { milliseconds: number; run: () => void; isCancelled: boolean }[] = []
  const live = new Live({
    open: () => {
      const socket = new FakeSocket()
      sockets.push(socket)
      return socket
    },
    after: (milliseconds, run) => {
      const pause = { milliseconds, run, isCancelled: false }
      pauses.push(pause)
      return () => (pause.isCancelled = true)
    },
  })
  const last = () => {
    const socket = sockets.at(-1)
    if (socket === undefined) throw new Error('no socket was opened')
    return socket
  }
  const heard: ServerMessage[] = []
  return { live, sockets, pauses, last, heard, hear: (message: ServerMessage) => void heard.push(message) }
}

const watchA = '{"kind":"watch","courseId":"a"}'

describe('the live connection', () => {
  test('opens with the first watch and asks for it', () => {
    const { live, sockets, last, hear } = wire()
    expect(sockets).toHaveLength(0)
    live.watchCourse('a', hear)
    last().opens()
    expect(live.state).toBe('live')
    expect(last().sent).toEqual([watchA])
  })

  test('tells every listener what comes, and survives what is no message', () => {
    const { live, last, heard, hear } = wire()
    live.watchCourse('a', hear)
    last().opens()
    last().says('{broken')
    last().says({ kind: 'members-changed', courseId: 'a' })
    expect(heard).toEqual([{ kind: 'members-changed', courseId: 'a' }])
  })

  test('comes back after a break, watches the same again, and says that something was missed', () => {
    const { live, sockets, pauses, last, heard, hear } = wire()
    live.watchCourse('a', hear)
    last().opens()
    last().breaks()
    expect(live.state).toBe('reconnecting')
    pauses.at(-1)?.run()
    expect(sockets).toHaveLength(2)
    last().opens()
    expect(last().sent).toEqual([watchA])
    expect(heard).toEqual([{ kind: 'refetch' }])
  })

  test('waits longer after each failure, up to a quarter of a minute', () => {
    const { live, pauses, last, hear } = wire()
    live.watchCourse('a', hear)
    for (let round = 0; round < 8; round += 1) {
      last().breaks()
      pauses.at(-1)?.run()
    }
    expect(pauses.map((pause) => pause.milliseconds)).toEqual([400, 800, 1600, 3200, 6400, 12800, 15000, 15000])
  })

  test('ends a watch at the server only when nobody listens to it any more', () => {
    const { live, last, hear } = wire()
    const one = live.watchCourse('a', hear)
    const other = live.watchCourse('a', hear)
    last().opens()
    expect(last().sent).toEqual([watchA])
    one()
    expect(last().sent).toHaveLength(1)
    other()
    expect(last().sent.at(-1)).toBe('{"kind":"unwatch","courseId":"a"}')
  })

  test('does not come back when nothing is watched', () => {
    const { live, pauses, last, hear } = wire()
    const end = live.watchSubmission('s', hear)
    last().opens()
    end()
    last().breaks()
    expect(pauses).toHaveLength(0)
  })

  test('does not come back where nobody is signed in any more, and says so; with a new sign-in it watches anew', () => {
    const { live, sockets, pauses, last, hear } = wire()
    let ended = 0
    live.onRightsEnded = () => (ended += 1)
    const end = live.watchCourse('a', hear)
    last().opens()
    last().breaks(4001)
    expect([ended, pauses.length, sockets.length]).toEqual([1, 0, 1])
    end()
    live.watchCourse('a', hear)
    expect(sockets).toHaveLength(2)
  })

  test('comes back where it ended with one course, as others may be watched', () => {
    const { live, pauses, last, hear } = wire()
    let ended = 0
    live.onRightsEnded = () => (ended += 1)
    live.watchCourse('a', hear)
    last().opens()
    last().breaks(4003)
    expect([ended, pauses.length]).toEqual([1, 1])
    last().breaks()
    expect(ended).toBe(1)
  })

  test('tries at once when the network is back', () => {
    const { live, sockets, pauses, last, hear } = wire()
    live.watchCourse('a', hear)
    last().breaks()
    live.retryNow()
    expect(sockets).toHaveLength(2)
    expect(pauses[0]?.isCancelled).toBe(true)
  })
})
