import { notesOf, pitchNear, silenceBetween, type BoardProfile, type Note } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import { showCount } from '../../image/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import {
  choice,
  distanceOf,
  duration,
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
import { figureText, timeText } from '../words.ts'
import { checkKind, failed, orOfCase, outOfTolerance, passed, type Verdict } from './check.ts'

const percent = (amount: number): Amount => ({ amount, unit: '%' })

const fields = {
  frequencies: required(orOfCase(list(number(0.1, 1e6), 1, 64)), 'The frequencies wanted, in Hz, one after the other.'),
  frequencyWithin: optional(tolerance('%', 'Hz'), 'How far from it each is right.', percent(1), '±1 %'),
  each: optional(orOfCase(duration), 'How long each tone lasts, from its first edge to its last.', null, 'any time'),
  eachWithin: optional(tolerance('%', 'T', 'us', 'ms', 's'), 'How far from it is right.', percent(5), '±5 %'),
  maxGap: optional(
    orOfCase(duration),
    'Longest silence between one tone and the next, counted from the end of its last half wave.',
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

type Wants = ReadFields<typeof fields>

function misfits({ frequencies, starts }: Wants): readonly string[] {
  if (starts === null || starts.length === frequencies.length) return []
  return [`found ${starts.length} starts for ${frequencies.length} frequencies, allowed one for each`]
}

function describe(check: Wants, { clockHz }: BoardProfile): string {
  const { frequencies } = check
  const listed = frequencies.map((hz) => figureText(hz))
  const shown = listed.length > 6 ? [...listed.slice(0, 3), '…', ...listed.slice(-1)] : listed
  const parts = [
    `${showCount(frequencies.length, 'tone')}: ${shown.join(', ')} Hz ${toleranceText(check.frequencyWithin)}`,
  ]
  if (check.each !== null) {
    parts.push(`each ${timeText(tStatesOf(check.each, clockHz), clockHz)} ${toleranceText(check.eachWithin)}`)
  }
  if (check.maxGap !== null) parts.push(`silences at most ${timeText(tStatesOf(check.maxGap, clockHz), clockHz)}`)
  if (check.starts !== null) parts.push(`each begun at its time ${toleranceText(check.startsWithin)}`)
  if (check.order !== 'any') parts.push(`each ${check.order === 'rising' ? 'higher' : 'lower'} than the one before`)
  return parts.join(', ')
}

/** The instruction that moved the cone at `t`. */
function edgeAt(run: CaseRun, t: TState): Moment {
  for (const event of run.result.events.between(t, t + 1)) {
    if (event.kind === 'speaker-edge') return { t, address: event.pc, step: null }
  }
  return endOf(run)
}

/** What is wrong with one of the tones, as a sentence with where it shows; null when it is right. */
function wrongTone(check: Wants, run: CaseRun, notes: readonly Note[], i: number): readonly [string, Moment] | null {
  const { clockHz } = run.profile
  const note = notes[i]
  const wantedHz = check.frequencies[i]
  if (note === undefined || wantedHz === undefined) return null
  const name = `Tone ${i + 1} of ${check.frequencies.length}`
  const hz = pitchNear(note, wantedHz)
  // Figures are quotients; a billionth part is the noise of dividing.
  if (Math.abs(hz - wantedHz) > distanceOf(check.frequencyWithin, wantedHz, clockHz) + wantedHz * 1e-9) {
    const aim = `${figureText(wantedHz)} Hz ${toleranceText(check.frequencyWithin)}`
    return [`${name} has ${figureText(hz)} Hz; wanted ${aim}.`, edgeAt(run, note.from)]
  }
  const last = notes[i - 1]
  const before = last === undefined ? null : pitchNear(last, check.frequencies[i - 1] ?? wantedHz)
  if (before !== null && check.order !== 'any' && (check.order === 'rising' ? hz <= before : hz >= before)) {
    const aim = check.order === 'rising' ? 'higher' : 'lower'
    return [
      `${name} has ${figureText(hz, 2)} Hz after ${figureText(before, 2)} Hz; wanted it ${aim}.`,
      edgeAt(run, note.from),
    ]
  }
  if (check.starts !== null) {
    const wanted = tStatesOf(check.starts[i] ?? { amount: 0, unit: 'T' }, clockHz)
    if (Math.abs(note.from - wanted) > distanceOf(check.startsWithin, wanted, clockHz)) {
      const aim = `${timeText(wanted, clockHz)} ${toleranceText(check.startsWithin)}`
      return [`${name} begins at ${timeText(note.from, clockHz)}; wanted ${aim}.`, edgeAt(run, note.from)]
    }
  }
  if (check.maxGap !== null && last !== undefined) {
    const most = tStatesOf(check.maxGap, clockHz)
    const gap = silenceBetween(last, note, run.profile)
    if (gap > most) {
      const found = `The silence before tone ${i + 1} lasts ${timeText(gap, clockHz)}`
      return [`${found}; wanted at most ${timeText(most, clockHz)}.`, edgeAt(run, note.from)]
    }
  }
  if (check.each !== null) {
    const wanted = tStatesOf(check.each, clockHz)
    if (Math.abs(note.durationTStates - wanted) > distanceOf(check.eachWithin, wanted, clockHz)) {
      const aim = `${timeText(wanted, clockHz)} ${toleranceText(check.eachWithin)}`
      return [`${name} lasts ${timeText(note.durationTStates, clockHz)}; wanted ${aim}.`, edgeAt(run, note.to)]
    }
  }
  return null
}

/** The notes of a part of the run; a single click is no note. */
function notesHeard(check: Wants, run: CaseRun): readonly Note[] {
  const { clockHz } = run.profile
  const from = check.from === null ? 0 : tStatesOf(check.from, clockHz)
  const to = check.to === null ? run.result.tStates + 1 : tStatesOf(check.to, clockHz)
  return notesOf(run.result.events, run.profile, { from, to }).filter((note) => note.edges > 1)
}

function heardText(notes: readonly Note[]): string {
  if (notes.length === 0) return 'silence'
  const listed = notes.map((note) => figureText(note.frequencyHz ?? 0))
  const shown = listed.length > 16 ? [...listed.slice(0, 15), '…', ...listed.slice(-1)] : listed
  return `${showCount(notes.length, 'tone')}: ${shown.join(', ')} Hz`
}

export const tonesInTurn = checkKind({
  name: 'tones-in-turn',
  category: 'tones in turn',
  about:
    'The speaker gives several tones one after the other: a siren, a tune, a bell at given times. A change of pitch of more than 2 % that lasts, or a silence, begins another; a late edge or a tick of the timer does not.',
  example: ['frequencies: [440, 494, 523]', 'each: 200 ms', 'maxGap: 10 ms', 'order: rising'],
  fields,
  needsEnd: false,
  cost: 1,
  misfits,
  describe,
  evaluate(check, run): Verdict {
    const notes = notesHeard(check, run)
    const wanted = describe(check, run.profile)
    const measured = heardText(notes)
    const allowed = toleranceText(check.frequencyWithin)
    const count = check.frequencies.length
    for (let i = 0; i < Math.min(count, notes.length); i++) {
      const wrong = wrongTone(check, run, notes, i)
      if (wrong !== null) return outOfTolerance(measured, wanted, allowed, ...wrong)
    }
    if (notes.length < count) {
      const heard = notes.length === 0 ? 'no tone' : `only ${showCount(notes.length, 'tone')}`
      const last = notes.at(-1)
      const at = last === undefined ? endOf(run) : edgeAt(run, last.to)
      return failed(measured, wanted, `The speaker gave ${heard}; wanted ${count}.`, at)
    }
    const extra = notes[count]
    if (extra !== undefined && check.rest === 'none') {
      const found = `After the ${count === 1 ? 'tone' : `${count} tones`} came another of ${figureText(extra.frequencyHz ?? 0)} Hz`
      return failed(measured, wanted, `${found}; wanted none.`, edgeAt(run, extra.from))
    }
    return passed(measured, wanted, allowed, endOf(run))
  },
})
