import type { BoardProfile } from '../../board/index.ts'
import { showCount } from '../../image/index.ts'
import {
  choice,
  duration,
  either,
  list,
  number,
  optional,
  required,
  tolerance,
  toleranceText,
  tStatesOf,
  type Amount,
  type ReadFields,
} from '../schema/index.ts'
import { amountText, figureText, timeText } from '../words.ts'
import { orOfCase } from './check.ts'

const percent = (amount: number): Amount => ({ amount, unit: '%' })

const lengthOrAny = either(choice(['any']), (value) => typeof value === 'string' && /^[a-z]+$/i.test(value), duration)

/** The fields of a check of several tones one after the other. */
export const toneFields = {
  frequencies: required(orOfCase(list(number(0.1, 1e6), 1, 64)), 'The frequencies wanted, in Hz, one after the other.'),
  frequencyWithin: optional(tolerance('%', 'Hz'), 'How far from it each is right.', percent(1), '±1 %'),
  each: optional(
    orOfCase(duration),
    'How long each tone lasts, from its first edge to its last; the half wave behind that may count or not.',
    null,
    'any time',
  ),
  eachWithin: optional(tolerance('%', 'T', 'us', 'ms', 's'), 'How far from it is right.', percent(5), '±5 %'),
  lengths: optional(
    orOfCase(list(lengthOrAny, 1, 64)),
    'How long the tones last where they differ, one time for each, or `any`; measured as for `each`.',
    null,
    'any time',
  ),
  lengthsWithin: optional(tolerance('%', 'T', 'us', 'ms', 's'), 'How far from it is right.', percent(5), '±5 %'),
  pauses: optional(
    orOfCase(list(lengthOrAny, 1, 63)),
    'How long the silences between the tones last, one time less than there are tones, or `any`: from the last edge of one, or from the end of the half wave behind it, to the first edge of the next.',
    null,
    'any time',
  ),
  pausesWithin: optional(tolerance('%', 'T', 'us', 'ms', 's'), 'How far from it is right.', percent(5), '±5 %'),
  maxGap: optional(
    orOfCase(duration),
    'Longest silence between one tone and the next, counted from the end of its last half wave; where `pauses` gives a time, that holds.',
    null,
    'any',
  ),
  starts: optional(
    orOfCase(list(duration, 1, 64)),
    'When each tone begins, counted from the start of the run.',
    null,
    'any time',
  ),
  startsWithin: optional(
    tolerance('ms', 'T', 'us', 's'),
    'How far from it is right.',
    { amount: 10, unit: 'ms' } satisfies Amount as Amount,
    '±10 ms',
  ),
  order: optional(
    choice(['any', 'rising', 'falling']),
    'Whether each tone must also be higher, or lower, than the one before it.',
    'any' as const,
  ),
  rest: optional(choice(['none', 'free']), 'Whether other tones may follow.', 'none' as const),
  from: optional(orOfCase(duration), 'Listen from this time of the run on.', null, 'its start'),
  to: optional(orOfCase(duration), 'Listen up to this time of the run.', null, 'its end'),
}

export type WantedTones = ReadFields<typeof toneFields>

export function toneMisfits(check: WantedTones): readonly string[] {
  const { frequencies, starts, each, lengths, pauses, pausesWithin } = check
  const count = frequencies.length
  const misfits: string[] = []
  const counted = (found: string, allowed: string): void => {
    misfits.push(`found ${found} for ${count} ${count === 1 ? 'frequency' : 'frequencies'}, allowed ${allowed}`)
  }
  if (starts !== null && starts.length !== count) counted(showCount(starts.length, 'start'), 'one for each')
  if (lengths !== null && lengths.length !== count) counted(showCount(lengths.length, 'length'), 'one for each')
  if (pauses !== null && pauses.length !== count - 1) counted(showCount(pauses.length, 'pause'), 'one less')
  if (each !== null && lengths !== null) misfits.push('found each and lengths, allowed one of them')
  const isNothing = (time: Amount | 'any'): boolean => time !== 'any' && time.amount === 0
  if (lengths?.some(isNothing) === true) misfits.push('found a tone of no length, allowed a time or `any`')
  if (pauses?.some(isNothing) === true && pausesWithin.unit === '%') {
    misfits.push(`found a pause of 0 with pausesWithin in percent, allowed a time, such as '1 ms', or maxGap`)
  }
  return misfits
}

/** More tones than these are told by the first three and the last. */
const mostTold = 12

export function describeTones(check: WantedTones, { clockHz }: BoardProfile): string {
  const { frequencies, lengths, pauses } = check
  const time = (amount: Amount): string => timeText(tStatesOf(amount, clockHz), clockHz)
  const isTimed = lengths !== null || pauses !== null
  const parts = [`${showCount(frequencies.length, 'tone')}: ${isTimed ? score(check) : pitches(check)}`]
  if (lengths !== null) parts.push(`lengths ${toleranceText(check.lengthsWithin)}`)
  if (pauses !== null) parts.push(`silences ${toleranceText(check.pausesWithin)}`)
  if (check.each !== null) parts.push(`each ${time(check.each)} ${toleranceText(check.eachWithin)}`)
  if (check.maxGap !== null) {
    parts.push(`${pauses === null ? 'silences' : 'other silences'} at most ${time(check.maxGap)}`)
  }
  if (check.starts !== null) parts.push(`each begun at its time ${toleranceText(check.startsWithin)}`)
  if (check.order !== 'any') parts.push(`each ${check.order === 'rising' ? 'higher' : 'lower'} than the one before`)
  return parts.join(', ')
}

/** `440, 494, 523 Hz ±1 %`. */
function pitches({ frequencies, frequencyWithin }: WantedTones): string {
  const listed = frequencies.map((hz) => figureText(hz))
  const shown = listed.length > 6 ? [...listed.slice(0, 3), '…', ...listed.slice(-1)] : listed
  return `${shown.join(', ')} Hz ${toleranceText(frequencyWithin)}`
}

/** `440 Hz for 300 ms, 200 ms of silence, 880 Hz for 500 ms; pitches ±1 %`. */
function score({ frequencies, frequencyWithin, lengths, pauses }: WantedTones): string {
  const told = frequencies.map((hz, i) => {
    const [pause = 'any', length = 'any'] = [pauses?.[i - 1], lengths?.[i]]
    const before =
      pause === 'any' ? '' : pause.amount === 0 ? 'without a silence ' : `${amountText(pause)} of silence, `
    return `${before}${figureText(hz)} Hz${length === 'any' ? '' : ` for ${amountText(length)}`}`
  })
  const shown = told.length > mostTold ? [...told.slice(0, 3), '…', ...told.slice(-1)] : told
  return `${shown.join(', ')}; pitches ${toleranceText(frequencyWithin)}`
}
