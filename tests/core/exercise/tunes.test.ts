import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { parseExercise, studentView, type Exercise } from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { Random } from '../../../core/run/index.ts'
import { seed } from '../run/programs.ts'
import { lostBy, subjectsOf, type Subject } from './shifted.ts'

console.log(`phases and delays drawn with SEED=${seed}`)

function tuneOf(fields: object, parts: object = {}): Exercise {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A tune', board: 'bench-8', brief: 'Play it.' },
    ...{ groups: [{ id: 'g', title: 'G', marks: 100 }], cases: [{ id: 'one' }], budget: '10 s' },
    checks: [{ id: 'tune', kind: 'tones-in-turn', title: 'The tune', group: 'g', ...fields }],
    ...parts,
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map((problem) => problem.message).join('\n'))
  return parsed.exercise
}

/** Half waves of 51 + 13 · C T-states, HL of them; each begins with its edge. */
const tone = `
TONE:   LD D,0
NEXT:   LD A,D
        XOR 1
        LD D,A
        OUT (22H),A
        LD B,C
WAIT:   DJNZ WAIT
        DEC HL
        LD A,H
        OR L
        JR NZ,NEXT
        RET
`
// At 2.5 MHz: 2,846 T are 439.2 Hz, 1,416 T 882.8 Hz, 1,247 T 1,002.4 Hz.
const [low, high, bell] = [215, 105, 92]
const halfOf = (count: number): number => 51 + 13 * count

/** So long a tone, in ms, to the nearest half wave. */
const note = (count: number, ms: number): string =>
  `  LD C,${count}\n  LD HL,${Math.round((ms * 2500) / halfOf(count))}\n  CALL TONE\n`
const silence = (ms: number): string => `  LD BC,${ms}\n  CALL WAITMS\n`
const whole = (...steps: readonly string[]): string => `${steps.join('')}  HALT\n${tone}`
/** The same with some 100 T for the timer's handler at each tick. */
const ticked = (...steps: readonly string[]): string =>
  `  LD HL,TICK\n  LD (4710H),HL\n  EI\n${steps.join('')}  DI\n  HALT\nTICK:   EI\n  RETI\n${tone}`

function report(exercise: Exercise, text: string) {
  const made = grade({ format: 'assembly', text }, exercise, benchEight)
  expect(made.problems).toEqual([])
  return made
}

function subject(exercise: Exercise, text: string): Subject {
  const [made] = subjectsOf(exercise.id, exercise, { name: 'made', source: { format: 'assembly', text } })
  if (made === undefined) throw new Error('nothing is measured')
  return made
}

const departure = tuneOf({
  frequencies: [440, 880],
  ...{ lengths: ['300 ms', '500 ms'], pauses: ['200 ms'], credit: 'parts' },
})
const warning = tuneOf({
  ...{ frequencies: [1000, 1000, 1000], frequencyWithin: '2 %' },
  ...{ lengths: ['100 ms', '100 ms', '400 ms'], lengthsWithin: '5 ms' },
  ...{ pauses: ['100 ms', '300 ms'], pausesWithin: '10 ms' },
})
const chime = tuneOf(
  {
    ...{ frequencies: [880, 440, 1000], frequencyWithin: '2 %', lengths: ['120 ms', 'any', '240 ms'], maxGap: '2 ms' },
    ...{ lengthsWithin: '4 %', credit: 'parts' },
  },
  { given: { timer: true } },
)

describe('a signal of two tones with a silence between them', () => {
  const played = (first: number, pause: number, second: number): string =>
    whole(note(low, first), silence(pause), note(high, second))
  test('is right in several ways of playing it', () => {
    for (const right of [
      played(300, 200, 500),
      played(292, 206, 512),
      // By the firmware, and with a display that is swept before and after.
      ` CALL PAINT\n LD HL,132\n LD DE,109\n CALL BUZZ\n LD BC,200\n CALL WAITMS\n LD HL,440\n LD DE,55\n CALL BUZZ\n CALL PAINT\n HALT\n`,
      // Silence made by a loop: 200 · (7 + 13 · 192 − 5 + 17) T.
      whole(note(low, 300), '  LD C,200\nREST:   LD B,191\nR2:     DJNZ R2\n  DEC C\n  JR NZ,REST\n', note(high, 500)),
    ])
      expect(report(departure, right)).toMatchObject({ score: 100 })
  })
  test('says which tone or silence lasted how long, and costs that tone alone', () => {
    const message = (text: string) => report(departure, text).checks[0]?.message
    expect(message(played(300, 200, 540))).toMatch(
      /^Tone 2 of 2 lasts 1,34.,... T \(53.*ms\); wanted 1,250,000 T \(500 ms\) ±5 %\. 1 of 2 tones right\.$/,
    )
    expect(message(played(300, 222, 500))).toMatch(
      /^The silence before tone 2 lasts .* \(22.*ms\); wanted 500,000 T \(200 ms\) ±5 %/,
    )
    expect(report(departure, played(320, 200, 500)).score).toBe(50)
  })
  test('a subtly wrong one is not right', () => {
    for (const wrong of [
      played(500, 200, 300),
      played(300, 180, 500),
      played(316, 200, 500),
      played(300, 200, 474),
      whole(note(high, 300), silence(200), note(low, 500)),
      whole(note(low, 300), silence(100), note(low, 20), silence(80), note(high, 500)),
    ])
      expect(report(departure, wrong).score).toBeLessThan(100)
  })
  test('the page of the exercise says what is asked', () => {
    expect(studentView(departure, benchEight).visibleChecks[0]?.wanted).toBe(
      '2 tones: 440 Hz for 300 ms, 200 ms of silence, 880 Hz for 500 ms; pitches ±1 %, lengths ±5 %, silences ±5 %',
    )
  })
})

describe('short, short, long on one pitch', () => {
  const played = (...times: readonly number[]): string =>
    whole(...times.map((ms, i) => (i % 2 === 0 ? note(bell, ms) : silence(ms))))
  test('right and subtly wrong ones', () => {
    expect(report(warning, played(100, 100, 100, 300, 400))).toMatchObject({ score: 100 })
    expect(report(warning, played(104, 93, 97, 308, 396))).toMatchObject({ score: 100 })
    for (const wrong of [
      played(100, 300, 100, 100, 400),
      played(100, 100, 100, 300, 408),
      played(100, 100, 107, 300, 400),
      played(100, 112, 100, 300, 400),
      played(100, 100, 100, 300, 400, 100, 100),
    ])
      expect(report(warning, wrong).score).toBe(0)
  })
})

describe('joined tones while the timer ticks', () => {
  const played = (first: number, third: number): string => ticked(note(high, first), note(low, 90), note(bell, third))
  test('right and subtly wrong ones', () => {
    expect(report(chime, played(119, 238))).toMatchObject({ score: 100 })
    expect(report(chime, ticked(note(high, 119), note(low, 700), note(bell, 238)))).toMatchObject({ score: 100 })
    for (const wrong of [played(126, 238), played(119, 254), played(112, 238)]) {
      expect(report(chime, wrong).checks[0]).toMatchObject({ share: '2 of 3 tones right' })
    }
    // A tone left out costs that tone.
    expect(report(chime, ticked(note(high, 119), note(bell, 238))).checks[0]?.share).toBe('2 of 3 tones right')
  })
})

describe('in any phase of the timer and after any delay', () => {
  const random = new Random(seed)
  const shifts = [...Array.from({ length: 10 }, () => ({ phase: random.under(25_000), rounds: random.under(256) }))]
  const verdicts = (exercise: Exercise, text: string): readonly string[] => {
    const one = subject(exercise, text)
    return shifts.flatMap((shift) => lostBy(one, shift))
  }
  const handled = tuneOf(
    {
      ...{ frequencies: [440, 880], frequencyWithin: '2 %', lengths: ['300 ms', '100 ms'], pauses: ['50 ms'] },
      ...{ lengthsWithin: '3 %', pausesWithin: '3 ms' },
    },
    { given: { timer: true } },
  )
  const played = (first: number, pause: number, second: number): string =>
    ticked(note(low, first), silence(pause), note(high, second))
  test('right lengths and silences stay right', () => {
    expect(verdicts(handled, played(299, 50, 99))).toEqual([])
    expect(verdicts(handled, played(293, 49, 101))).toEqual([])
    expect(verdicts(chime, ticked(note(high, 119), note(low, 90), note(bell, 238)))).toEqual([])
  })
  test('a length or a silence that is off by the tolerance and a little more never passes', () => {
    // A tone may end with its last half wave, 1.1 ms of the low one; a delay before the second adds up to 1.3 ms of silence.
    for (const [wrong, said] of [
      [played(311, 50, 99), 'Tone 1 of 2 lasts'],
      [played(287, 50, 99), 'Tone 1 of 2 lasts'],
      [played(299, 50, 105), 'Tone 2 of 2 lasts'],
      [played(299, 50, 95), 'Tone 2 of 2 lasts'],
      [played(299, 55, 99), 'The silence before tone 2 lasts'],
      [played(299, 42, 99), 'The silence before tone 2 lasts'],
    ] as const) {
      const lost = verdicts(handled, wrong)
      expect([said, lost.length]).toEqual([said, shifts.length])
      for (const each of lost) expect(each).toContain(said)
    }
  })
})
