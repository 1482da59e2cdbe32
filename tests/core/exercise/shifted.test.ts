import { expect, test } from 'vitest'
import { Random } from '../../../core/run/index.ts'
import { seed } from '../run/programs.ts'
import { lostBy, subjects } from './shifted.ts'

console.log(`phases and delays drawn with SEED=${seed}`)

/** Longer runs are left to tests/benchmarks/shifts.ts, which tries every phase and delay. */
const longest = 30_000_000
const all = subjects()

test('right answers keep their measuring checks in any phase of the timer and with a delay before tones and a sweep', () => {
  const random = new Random(seed)
  const short = all.filter(({ tStates }) => tStates <= longest)
  expect(short.length).toBeGreaterThanOrEqual(40)
  const lost = short.flatMap((subject) => {
    // Nothing shifts a run that has neither a timer nor a tone.
    const phase = subject.request.given.isTimerOn ? random.under(25_000) : 0
    const sweep = subject.sweeps.length === 0 ? undefined : random.under(subject.sweeps.length)
    return lostBy(subject, { phase, rounds: random.under(256), ...(sweep === undefined ? {} : { sweep }) })
  })
  expect(lost).toEqual([])
})

test('a tone of another pitch is out of tolerance with any delay', () => {
  const random = new Random(seed)
  const [bell] = all.filter(({ folder, file }) => folder === 'C1' && file === 'model.asm')
  if (bell === undefined) throw new Error('C1 has a model answer')
  // DJNZ with 93 makes half waves of 1,263 T, 1.03 % longer than 1,250 T; with 91 1,237 T, 1.05 % shorter.
  for (const rounds of [91, 93]) {
    const segments = bell.request.image.segments.map(({ start, bytes }) => {
      const at = bytes.findIndex((byte, k) => byte === 0x06 && bytes[k + 1] === 92)
      return { start, bytes: bytes.map((byte, k) => (k === at + 1 ? rounds : byte)) }
    })
    const off = { ...bell, request: { ...bell.request, image: { segments } } }
    for (let k = 0; k < 16; k++) {
      const lost = lostBy(off, { phase: random.under(25_000), rounds: random.under(256) })
      expect(lost.join()).toContain(': frequency: ')
    }
  }
})
