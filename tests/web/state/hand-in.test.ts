import { describe, expect, test } from 'vitest'
import type { Program } from '../../../core/assembler/index.ts'
import { Api } from '../../../web/state/api.ts'
import { HandIn } from '../../../web/state/HandIn.svelte.ts'
import { Reader, type Desk } from '../../../web/state/reader/Reader.svelte.ts'
import type { ReadRequest } from '../../../web/state/reader/protocol.ts'

/** A desk that answers when told to; the program it gives names the text that was read. */
function slowDesk() {
  const asked: ReadRequest[] = []
  const desk: Desk = {
    onmessage: null,
    postMessage: (request) => void asked.push(request),
    terminate: () => {},
  }
  const answer = () => {
    const request = asked.at(-1)
    if (request === undefined) throw new Error('nothing was asked')
    const program = { symbols: { [request.text]: 1 } } as unknown as Program
    desk.onmessage?.({ data: { number: request.number, program } } as MessageEvent)
  }
  return { desk, asked, answer }
}

const texts = (asked: readonly ReadRequest[]) => asked.map((request) => request.text)
const options = { origin: 0x4000 }

describe('a reader', () => {
  test('reads one text at a time, and of those typed meanwhile only the last', () => {
    const { desk, asked, answer } = slowDesk()
    const reader = new Reader(desk)
    for (const text of ['L', 'LD', 'LD A', 'LD A,1']) reader.read('assembly', text, options)
    expect(texts(asked)).toEqual(['L'])
    answer()
    expect(texts(asked)).toEqual(['L', 'LD A,1'])
    expect(reader.isReading).toBe(true)
    answer()
    expect([reader.isReading, Object.keys(reader.program?.symbols ?? {})]).toEqual([false, ['LD A,1']])
  })
})

function handIn(kept: Record<string, string> = {}) {
  const { desk, asked } = slowDesk()
  const sent: RequestInit[] = []
  const api = new Api((_, request) => {
    sent.push(request ?? {})
    return Promise.reject(new TypeError('no network'))
  })
  let keys = 0
  const made = new HandIn({
    api,
    reader: new Reader(desk),
    drafts: { read: (key) => kept[key] ?? null, write: (key, text) => void (kept[key] = text) },
    exerciseId: 'e1',
    accepts: ['assembly', 'hex'],
    questions: ['why'],
    options,
    newKey: () => `key-${(keys += 1)}`,
  })
  const header = (at: number) => (sent[at]?.headers as Record<string, string>)['idempotency-key']
  return { made, asked, sent, kept, header }
}

describe('a hand-in', () => {
  test('begins with the draft of the last visit', () => {
    const { made, asked } = handIn({ 'hexcairn-draft-e1': 'HALT' })
    expect(made.text).toBe('HALT')
    expect(texts(asked)).toEqual(['HALT'])
  })

  test('keeps each change as a draft', () => {
    const { made, kept } = handIn()
    made.type('LD A,5')
    expect(kept['hexcairn-draft-e1']).toBe('LD A,5')
  })

  test('is sent under the same key when it is tried again, and under a new one when it changed', async () => {
    const { made, header } = handIn()
    made.type('HALT')
    await made.submit.run()
    await made.submit.run()
    made.type('NOP')
    await made.submit.run()
    expect(header(0)).toBe(header(1))
    expect(header(2)).not.toBe(header(1))
    expect(made.submit.fault?.code).toBe('no-answer')
  })

  test('takes what was written to its questions along, from a draft too, under a new key when it changed', async () => {
    const { made, sent, kept, header } = handIn({ 'hexcairn-draft-e1-why': 'Too slow.' })
    made.type('HALT')
    await made.submit.run()
    made.write('why', 'Fifty sweeps.')
    await made.submit.run()
    expect(sent.map(({ body }) => JSON.parse(String(body)).answers)).toEqual([
      { why: 'Too slow.' },
      { why: 'Fifty sweeps.' },
    ])
    expect([kept['hexcairn-draft-e1-why'], header(0) === header(1)]).toEqual(['Fifty sweeps.', false])
  })

  test('is read as it looks, within what the exercise takes, unless told otherwise', () => {
    const { made } = handIn()
    made.type('3E 05 06 03')
    expect(made.format).toBe('hex')
    made.type(':00000001FF')
    expect(made.format).toBe('assembly')
    made.choose('hex')
    expect(made.format).toBe('hex')
    made.choose(null)
    expect(made.format).toBe('assembly')
  })
})
