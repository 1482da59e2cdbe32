import { eventCode, notesOf, type BoardProfile } from '../../board/index.ts'
import type { Addr, Byte, TState } from '../../cpu/index.ts'
import { showByte, showCount, showWord } from '../../image/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import {
  bytes,
  distanceOf,
  duration,
  flag,
  number,
  optional,
  required,
  tolerance,
  toleranceText,
  tStatesOf,
  whole,
  word,
  type ReadFields,
} from '../schema/index.ts'
import { countText, figureText, timeText } from '../words.ts'
import { checkKind, failed, orOfCase, outOfTolerance, passed, type Verdict } from './check.ts'
import { displayWriteBefore } from './display-moment.ts'

const fields = {
  digit: optional(
    whole(1, 16),
    'What repeats: changes of this digit, counted from 1 at the left.',
    null,
    'give another',
  ),
  address: optional(orOfCase(word), 'Or changes of the byte at this address.', null, 'give another'),
  tones: optional(flag, 'Or the beginnings of tones.', false),
  every: required(orOfCase(duration), 'The time from one to the next.'),
  times: required(orOfCase(whole(1, 1_000_000)), 'How many are wanted: so many after the first are looked at.'),
  maxPpm: required(
    orOfCase(number(0, 1_000_000)),
    'Most by which all of them together may be too early or too late, in millionths of the time.',
  ),
  values: optional(
    orOfCase(bytes(1, 4096)),
    'With `address`: what the byte becomes in turn, the first one too.',
    null,
    'any',
  ),
  eachWithin: optional(
    tolerance('ms', 'T', 'us', 's', '%'),
    'How far from `every` the time between any two neighbours may be.',
    null,
    'any distance',
  ),
  slack: optional(
    orOfCase(duration),
    'Added to that: how far one of them may be off by chance, such as the place of a sweep.',
    { amount: 0, unit: 'T' } as const,
    'none',
  ),
}

type Wants = ReadFields<typeof fields>

/** One of what repeats; for a byte also what it became. */
interface Beat extends Moment {
  readonly value?: Byte
}

/** What repeats, in order. */
function beatsOf(check: Wants, run: CaseRun): readonly Beat[] {
  if (check.address !== null) return byteChanges(run, check.address)
  if (check.digit !== null) {
    const digit = check.digit - 1
    const spans = run.digits().filter((span) => span.digit === digit && span.segments !== 0)
    const changes = spans.filter((span, i) => i > 0 && spans[i - 1]?.segments !== span.segments)
    return changes.map(({ from }) => displayWriteBefore(run, from))
  }
  const notes = notesOf(run.result.events, run.profile).filter((note) => note.edges > 1)
  const starts = new Set(notes.map((note) => note.from))
  const { events } = run.result
  const moments: Moment[] = []
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) !== eventCode.speakerEdge || !starts.has(events.timeAt(i))) continue
    moments.push({ t: events.timeAt(i), address: events.pcAt(i), step: null })
  }
  return moments
}

/** The writes that left another value in a byte. */
function byteChanges(run: CaseRun, address: Addr): readonly Beat[] {
  const { events } = run.result
  const moments: Beat[] = []
  let held = run.initial().memory[address] ?? 0
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) !== eventCode.memoryWrite || events.whereAt(i) !== address) continue
    if (events.valueAt(i) === held) continue
    held = events.valueAt(i)
    moments.push({ t: events.timeAt(i), address: events.pcAt(i), step: null, value: held })
  }
  return moments
}

function nameOf(check: Wants): string {
  if (check.address !== null) return `change of the byte at ${showWord(check.address)}`
  return check.digit === null ? 'tone' : `change of digit ${check.digit}`
}

function describe(check: Wants, { clockHz }: BoardProfile): string {
  const every = timeText(tStatesOf(check.every, clockHz), clockHz)
  const slack = tStatesOf(check.slack, clockHz)
  const more = slack === 0 ? '' : ` and ${timeText(slack, clockHz)}`
  const limit = `${figureText(check.maxPpm)} ppm${more}`
  return `a ${nameOf(check)} every ${every}, within ${limit} after ${countText(check.times)} of them`
}

/** How far off, as a time and in millionths of the time looked at. */
function offText(off: TState, span: TState, clockHz: number): string {
  const side = off > 0 ? 'too late' : 'too early'
  return `${timeText(Math.abs(off), clockHz)} ${side} (${figureText((Math.abs(off) * 1e6) / span)} ppm)`
}

/** The verdict on the first change to a value that is not the one in turn. */
function otherValue(check: Wants, beats: readonly Beat[], wanted: string): Verdict | null {
  const { values, address } = check
  if (values === null || address === null) return null
  const i = values.findIndex((value, k) => beats[k] !== undefined && beats[k].value !== value)
  const beat = beats[i]
  if (beat === undefined) return null
  const found = `${showByte(beat.value ?? 0)} as value ${i + 1} of ${values.length}`
  const message = `The byte at ${showWord(address)} became ${found}; wanted ${showByte(values[i] ?? 0)}.`
  return failed(found, wanted, message, withoutValue(beat))
}

/** The verdict on the first of them that comes too soon, or too late, after the one before it. */
function unevenBeat(
  check: Wants,
  beats: readonly Beat[],
  every: TState,
  wanted: string,
  clockHz: number,
): Verdict | null {
  if (check.eachWithin === null) return null
  const distance = distanceOf(check.eachWithin, every, clockHz)
  for (let i = 1; i <= check.times; i++) {
    const [before, beat] = [beats[i - 1], beats[i]]
    if (before === undefined || beat === undefined) break
    const time = beat.t - before.t
    if (Math.abs(time - every) <= distance) continue
    const words = `${timeText(every, clockHz)} ${toleranceText(check.eachWithin)}`
    const message = `Number ${i + 1} (${nameOf(check)}) came ${timeText(time, clockHz)} after the one before; wanted ${words}.`
    return outOfTolerance(timeText(time, clockHz), wanted, toleranceText(check.eachWithin), message, withoutValue(beat))
  }
  return null
}

function lastOf(beats: readonly Beat[], run: CaseRun): Moment {
  const last = beats.at(-1)
  return last === undefined ? endOf(run) : withoutValue(last)
}

function withoutValue({ t, address, step }: Beat): Moment {
  return { t, address, step }
}

export const drift = checkKind({
  name: 'drift',
  category: 'how well the time is kept',
  about: 'Something that repeats keeps its time over a long while: the seconds of a clock do not run ahead or behind.',
  example: ['address: 4600h', 'every: 1 s', 'times: 60', 'maxPpm: 100'],
  fields,
  needsEnd: false,
  cost: 1,
  isWatchingWrites: (check) => check.address !== null,
  misfits(check, profile) {
    const given = [check.digit !== null, check.address !== null, check.tones].filter(Boolean).length
    if (given !== 1) return ['needs one of digit, address and tones']
    const { digits } = profile.display
    if (check.values !== null && check.address === null) return ['values need address']
    return check.digit !== null && check.digit > digits ? [`found digit ${check.digit}, allowed 1 to ${digits}`] : []
  },
  describe,
  evaluate(check, run) {
    const { clockHz } = run.profile
    const wanted = describe(check, run.profile)
    const every = tStatesOf(check.every, clockHz)
    const moments = beatsOf(check, run)
    const other = otherValue(check, moments, wanted)
    if (other !== null) return other
    const [first] = moments
    const last = moments[check.times]
    if (first === undefined || last === undefined) {
      const found = showCount(Math.max(0, moments.length - 1), 'time')
      const message = `After the first ${nameOf(check)} came ${found === '0 times' ? 'no other' : `another ${found}`}; wanted ${countText(check.times)}.`
      return failed(`${showCount(moments.length, 'time')}`, wanted, message, lastOf(moments, run))
    }
    const uneven = unevenBeat(check, moments, every, wanted, clockHz)
    if (uneven !== null) return uneven
    const span = every * check.times
    const off = last.t - first.t - span
    const limit = (span * check.maxPpm) / 1e6 + tStatesOf(check.slack, clockHz)
    const allowed = `±${timeText(Math.floor(limit), clockHz)}`
    const measured = off === 0 ? 'exactly in time' : offText(off, span, clockHz)
    // The limit is a product of figures; a billionth part is the noise of multiplying.
    if (Math.abs(off) <= limit * (1 + 1e-9)) return passed(measured, wanted, allowed, endOf(run))
    const message = `After ${countText(check.times)} times the ${nameOf(check)} came ${measured}; wanted ${allowed}.`
    return outOfTolerance(measured, wanted, allowed, message, withoutValue(last))
  },
})
