import { describe, expect, test } from 'vitest'
import { benchEight, digitTimeline, isDisplayDark, measureDisplay, segmentsOf } from '../../../core/board/index.ts'
import { MadeEvents } from './made-events.ts'
import { sixLamps } from './six-lamps.ts'

const ms = 2500
const made = () => new MadeEvents(benchEight)

/** Digit 0 as words: `8 steady 0-100 | dark 100-200`, in milliseconds or, with `unit` 1, T-states. */
function seen(events: MadeEvents, from: number, to: number, digit = 0, unit = ms): string {
  return digitTimeline(events.events, benchEight, from, to)
    .filter((span) => span.digit === digit)
    .map(({ glyph, state, from, to }) => `${state === 'dark' ? '' : `${glyph} `}${state} ${from / unit}-${to / unit}`)
    .join(' | ')
}

/** One digit flashed for `on` ms every `period` ms, from 0 to before `until`. */
function flashing(on: number, period: number, until: number, glyph = '8'): MadeEvents {
  const events = made()
  for (let t = 0; t < until; t += period) events.flash(t * ms, 0, glyph, on * ms)
  return events
}

describe('what an eye sees of a digit', () => {
  // The course's rule (33.3 ms, 2 %, 16.7 ms, 50 ms) on fusion at 50 to 60 Hz: common practice, no source.
  test('a multiplexed digit is one steady sign', () => {
    expect(seen(made().sweeps(0, 500 * ms, 2 * ms, '12345678'), 0, 500 * ms)).toBe('1 steady 0-500')
  })

  test('each digit shows its own', () => {
    const spans = digitTimeline(made().sweeps(0, 500 * ms, 2 * ms, '12345678').events, benchEight, 200 * ms, 300 * ms)
    expect(spans.map(({ digit, glyph, from, to }) => [digit, glyph, from, to])).toEqual(
      [...'12345678'].map((glyph, digit) => [digit, glyph, 200 * ms, 300 * ms]),
    )
  })

  test('steady up to a dark gap of 16.7 ms, flickering from there to 50 ms, dark beyond', () => {
    const gap = (tStates: number) =>
      made()
        .flash(0, 0, '8', 100 * ms)
        .flash(100 * ms + tStates, 0, '8', 100 * ms)
    expect(seen(gap(41_750), 0, 250_000 + 41_750 + 250_000, 0, 1)).toBe('8 steady 0-541750')
    expect(seen(gap(41_751), 0, 541_751, 0, 1)).toBe(
      '8 steady 0-250000 | 8 flickers 250000-291751 | 8 steady 291751-541751',
    )
    expect(seen(gap(125_000), 0, 625_000, 0, 1)).toBe(
      '8 steady 0-250000 | 8 flickers 250000-375000 | 8 steady 375000-625000',
    )
    expect(seen(gap(125_001), 0, 625_001, 0, 1)).toBe('8 steady 0-250000 | dark 250000-375001 | 8 steady 375001-625001')
  })

  test('2 % of 33.3 ms is seen, a T-state less is not', () => {
    expect(seen(made().flash(1000, 0, '8', 1665), 0, 200_000, 0, 1)).toBe(
      'dark 0-1000 | 8 blinks 1000-2665 | dark 2665-200000',
    )
    expect(seen(made().flash(1000, 0, '8', 1664), 0, 200_000, 0, 1)).toBe('dark 0-200000')
  })

  test('flashes add up over 33.3 ms', () => {
    // 333 T every 8 ms are five in a window: 1,665 T.
    const faint = made()
    for (let k = 0; k < 50; k++) faint.flash(k * 8 * ms, 0, '8', 333)
    expect(seen(faint, 0, 100 * ms)).toBe('8 steady 0-100')
    const fainter = made()
    for (let k = 0; k < 50; k++) fainter.flash(k * 8 * ms, 0, '8', 332)
    expect(seen(fainter, 0, 100 * ms)).toBe('dark 0-100')
  })

  test('a sign flickers on where the light between two long gaps is shorter than 33.3 ms', () => {
    expect(seen(flashing(3, 23, 460), 0, 440 * ms)).toBe('8 flickers 0-440')
  })

  test('one single flash blinks, and so do short turns with pauses; a long turn is a sign and then dark', () => {
    expect(seen(flashing(20, 1000, 1000), 0, 100 * ms)).toBe('8 blinks 0-20 | dark 20-100')
    expect(seen(flashing(80, 400, 1600), 0, 1400 * ms)).toBe('8 blinks 0-1280 | dark 1280-1400')
    expect(seen(flashing(200, 400, 800), 0, 800 * ms)).toBe(
      '8 steady 0-200 | dark 200-400 | 8 steady 400-600 | dark 600-800',
    )
  })

  test('a new sign begins with its first light, the old one stands until then', () => {
    const events = made()
      .sweeps(0, 160 * ms, 2 * ms, '1234ABCD')
      .sweeps(160 * ms, 320 * ms, 2 * ms, 'ABCD1234')
    expect(seen(events, 0, 320 * ms, 0)).toBe('1 steady 0-160 | A steady 160-320')
    expect(seen(events, 0, 320 * ms, 7)).toBe('dark 0-14 | D steady 14-174 | 4 steady 174-320')
  })

  test('a latch holds: what was written last stays lit', () => {
    expect(seen(made().select(0, 0).segments(0, 0x7f), 0, 5000 * ms)).toBe('8 steady 0-5000')
  })

  test('a sign lasts to the end of the window if it had light shortly before, and is dark after it', () => {
    const events = made().sweeps(0, 200 * ms, 1 * ms, '12345678')
    expect(seen(events, 0, 205 * ms)).toBe('1 steady 0-205')
    expect(seen(events, 0, 300 * ms)).toBe('1 steady 0-193 | dark 193-300')
    expect(isDisplayDark(events.events, benchEight, 200 * ms)).toBe(true)
    expect(isDisplayDark(events.events, benchEight, 199 * ms)).toBe(false)
  })

  test('a window inside a run shows the same as the whole run there', () => {
    const events = made()
      .sweeps(0, 1500 * ms, 2 * ms, '12345678')
      .sweeps(2000 * ms, 3000 * ms, 2.5 * ms, '87654321')
    const whole = digitTimeline(events.events, benchEight, 0, 3000 * ms)
    const window = digitTimeline(events.events, benchEight, 1400 * ms, 2100 * ms)
    const cut = whole
      .filter(({ from, to }) => to > 1400 * ms && from < 2100 * ms)
      .map((span) => ({ ...span, from: Math.max(span.from, 1400 * ms), to: Math.min(span.to, 2100 * ms) }))
    expect(window).toEqual(cut)
  })

  test('the spans of each digit follow on each other without a gap', () => {
    const events = made()
      .sweeps(0, 700 * ms, 3 * ms, '12345678')
      .sweeps(800 * ms, 900 * ms, 1 * ms, ' 2 4 6 8')
    const spans = digitTimeline(events.events, benchEight, 100 * ms, 1000 * ms)
    for (let digit = 0; digit < 8; digit++) {
      const own = spans.filter((span) => span.digit === digit)
      expect([own[0]?.from, own.at(-1)?.to]).toEqual([100 * ms, 1000 * ms])
      expect(own.slice(1).map(({ from }) => from)).toEqual(own.slice(0, -1).map(({ to }) => to))
    }
  })

  test('segments lit one after the other add up to a sign', () => {
    const events = made().select(0, 0)
    for (let t = 0, k = 0; t < 300; t += 1, k++) events.segments(t * ms, 1 << (k % 7))
    expect(seen(events, 100 * ms, 200 * ms)).toBe('8 steady 100-200')
  })
})

describe('a tone that sweeps one digit each half period', () => {
  // Domain page §3.1; common practice, no source: a longer half period leaves the display unswept for longer.
  const tone = (hz: number) => made().sweeps(0, 1000 * ms, 2_500_000 / (2 * hz), '12345678')

  test('250 Hz over 8 digits is a sweep of 62.5 Hz: steady', () => {
    expect(measureDisplay(tone(250).events, benchEight, 0, 1000 * ms).refreshHz).toBeCloseTo(62.5, 6)
    expect(seen(tone(250), 100 * ms, 900 * ms)).toBe('1 steady 100-900')
  })

  test('200 Hz over 8 digits is a sweep of 50 Hz: it flickers', () => {
    expect(measureDisplay(tone(200).events, benchEight, 0, 1000 * ms).refreshHz).toBeCloseTo(50, 6)
    expect(seen(tone(200), 100 * ms, 900 * ms)).toBe('1 flickers 100-900')
  })

  test('the longer the half period, the longer a digit is dark', () => {
    const dark = [800, 400, 250, 200, 100].map(
      (hz) => measureDisplay(tone(hz).events, benchEight, 0, 1000 * ms).digits[0]?.longestDarkTStates ?? 0,
    )
    expect(dark).toEqual([...dark].sort((a, b) => a - b))
    expect(new Set(dark).size).toBe(dark.length)
  })
})

describe('ghosts', () => {
  /** Sweeps that select the next digit `late` T-states before its segments come. */
  function ghosted(late: number): MadeEvents {
    const events = made()
    for (let t = 0, k = 0; t < 500 * ms; t += 2 * ms, k++)
      events.select(t, k % 8).segments(t + late, segmentsOf('17171717'[k % 8] ?? ' ') ?? 0)
    return events
  }

  test('more than 1 % of the lit time with a segment of a neighbour is a ghost; the sign stays what it is', () => {
    expect(seen(ghosted(50), 100 * ms, 300 * ms)).toBe('1 steady 100-300')
    // 52 T in all sweeps but the first, which has no neighbour before it.
    expect(seen(ghosted(52), 100 * ms, 300 * ms)).toBe('1 ghosted 100-300')
    expect(measureDisplay(ghosted(50).events, benchEight, 0, 480 * ms).digits[0]?.ghost).toBeCloseTo(0.01, 3)
  })

  test('a neighbour that has no segment more is no ghost', () => {
    expect(seen(ghosted(51), 100 * ms, 300 * ms, 1)).toBe('7 steady 100-300')
  })

  test('dark before the select changes, there is none', () => {
    expect(seen(made().sweeps(0, 500 * ms, 2 * ms, '17171717'), 100 * ms, 300 * ms)).toBe('1 steady 100-300')
  })

  test('a ghost on a digit that shows nothing stays unseen', () => {
    const events = made()
    for (let t = 0, k = 0; t < 500 * ms; t += 2 * ms, k++)
      events.select(t, k % 8).segments(t + 30, k % 8 === 0 ? 0 : 0x7f)
    expect(seen(events, 100 * ms, 300 * ms)).toBe('dark 100-300')
  })
})

describe('measuring a display', () => {
  test('digits that are lit for as long are as bright', () => {
    const { digits, brightnessSpread } = measureDisplay(
      made().sweeps(0, 800 * ms, 2 * ms, '88888888').events,
      benchEight,
      0,
      800 * ms,
    )
    expect(digits.map(({ brightness }) => brightness)).toEqual(Array(8).fill(1 / 8))
    expect(digits.map(({ sweeps }) => sweeps)).toEqual(Array(8).fill(50))
    expect(brightnessSpread).toBe(0)
  })

  test('a digit lit for half the time of the others makes a spread of a half', () => {
    const events = made()
    for (let t = 0; t < 400 * ms; t += 4 * ms) events.flash(t, 0, '8', 2 * ms).flash(t + 2 * ms, 1, '8', ms)
    expect(measureDisplay(events.events, benchEight, 0, 400 * ms).brightnessSpread).toBe(0.5)
  })

  test('a dark display has neither rate nor spread', () => {
    const measure = measureDisplay([], benchEight, 0, 1000)
    expect([measure.refreshHz, measure.brightnessSpread]).toEqual([null, null])
    expect(measure.digits.every(({ brightness, ghost }) => brightness === 0 && ghost === 0)).toBe(true)
  })
})

describe('a board with other wiring', () => {
  test('six digits, active low, other ports and bits: the same rule', () => {
    const events = new MadeEvents(sixLamps).sweeps(0, 4_000_000, 10_000, 'ABC123')
    const spans = digitTimeline(events.events, sixLamps, 1_000_000, 2_000_000)
    expect(spans.map(({ glyph, state }) => `${glyph} ${state}`)).toEqual(
      [...'ABC123'].map((glyph) => `${glyph} steady`),
    )
    expect(measureDisplay(events.events, sixLamps, 0, 4_000_000).refreshHz).toBeCloseTo(4_000_000 / 60_000, 6)
  })

  test('its windows are as long in seconds', () => {
    const gap = (tStates: number) =>
      digitTimeline(
        new MadeEvents(sixLamps).flash(0, 0, '8', 400_000).flash(400_000 + tStates, 0, '8', 400_000).events,
        sixLamps,
        0,
        800_000 + tStates,
      ).filter(({ digit }) => digit === 0).length
    expect([gap(66_800), gap(66_801)]).toEqual([1, 3])
  })
})
