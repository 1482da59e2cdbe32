import { describe, expect, test } from 'vitest'
import { askRun } from '../../../web/trace/ask-run.ts'
import { TraceCancelled, TraceLink } from '../../../web/trace/worker/link.ts'
import { linkToDesk } from './link-to-desk.ts'
import { handIn } from './tram-depot.ts'

const subject = handIn('A6', 'wrong-high-first.asm')
const trace = {
  program: { format: subject.format, text: subject.text },
  board: structuredClone(subject.board),
  exercise: subject.exercise,
  seed: subject.seed,
} as Parameters<typeof askRun>[0]
const why = { kind: 'why', target: { kind: 'memory', address: 0x4604 }, step: 9, most: 2 } as const

describe('one question to a run', () => {
  test('is answered with the instructions behind the value, as many as were asked for', async () => {
    const { rows, sentence } = await askRun(trace, 'mileage', why, new AbortController().signal, linkToDesk)
    expect(sentence).toContain('4604h')
    expect(rows.length).toBe(2)
    expect(rows.at(-1)?.text).toBe('LD (4604H),HL')
  })

  test('given up, lets the worker go and says so', async () => {
    let ended = 0
    const start = (): TraceLink =>
      new TraceLink({ postMessage: () => {}, onmessage: null, terminate: () => void (ended += 1) })
    const stop = new AbortController()
    const asked = askRun(trace, 'mileage', why, stop.signal, start)
    stop.abort()
    await expect(asked).rejects.toBeInstanceOf(TraceCancelled)
    expect(ended).toBeGreaterThan(0)
  })

  test('refused, it throws, and the worker is gone too', async () => {
    await expect(askRun(trace, 'nowhere', why, new AbortController().signal, linkToDesk)).rejects.toThrow(
      'no-such-case',
    )
  })
})
