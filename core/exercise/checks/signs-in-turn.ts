import { measureDisplay, type BoardProfile } from '../../board/index.ts'
import type { Byte, TState } from '../../cpu/index.ts'
import { showCount } from '../../image/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import {
  choice,
  distanceOf,
  duration,
  flag,
  list,
  number,
  optional,
  required,
  text,
  tolerance,
  toleranceText,
  tStatesOf,
  whole,
  type Amount,
  type ReadFields,
} from '../schema/index.ts'
import { figureText, timeText } from '../words.ts'
import { checkKind, failed, orOfCase, outOfTolerance, passed, type Parts, type Verdict } from './check.ts'
import { glyphMisfits } from './digit-buffer.ts'
import { displayWriteBefore } from './display-moment.ts'
import { longestInOrder } from './in-order.ts'
import { isDark, isSame, segmentsOfText, signsSeen, signText, type SeenSign } from './sign-timeline.ts'

const fields = {
  signs: required(
    orOfCase(list(text(1, 16), 1, 100)),
    'The signs in turn, each with one glyph for each digit; a blank is a dark digit.',
  ),
  digit: optional(whole(1, 16), 'The digit on which their first glyph stands, counted from 1 at the left.', 1),
  each: optional(orOfCase(duration), 'How long each sign stands before the next begins.', null, 'any time'),
  eachWithin: optional(
    tolerance('%', 'T', 'us', 'ms', 's'),
    'How far from it is right.',
    { amount: 2, unit: '%' } satisfies Amount as Amount,
    '±2 %',
  ),
  lastFree: optional(flag, 'The last sign may stand for any time.', true),
  steady: optional(flag, 'No digit flickers or blinks from the first sign to the last.', true),
  minRefresh: optional(
    orOfCase(number(1, 100_000)),
    'Fewest sweeps of the display in a second, in each sign.',
    null,
    'any',
  ),
  shortest: optional(
    duration,
    'What stands for less is a change from one sign to the next and counts for neither.',
    { amount: 30, unit: 'ms' } satisfies Amount as Amount,
    '30 ms',
  ),
  rest: optional(
    choice(['none', 'free']),
    'Whether other signs may follow; a dark display always may.',
    'none' as const,
  ),
  from: optional(orOfCase(duration), 'Look from this time of the run on.', null, 'its start'),
  to: optional(orOfCase(duration), 'Look up to this time of the run.', null, 'its end'),
}

type Wants = ReadFields<typeof fields>

/** A sign wanted, and how many times over it stands in the list. */
interface WantedSign {
  readonly segments: readonly Byte[]
  readonly times: number
}

function wantedSigns(check: Wants): readonly WantedSign[] {
  const length = Math.max(...check.signs.map((sign) => [...sign].length))
  const wanted: WantedSign[] = []
  for (const sign of check.signs) {
    const segments = segmentsOfText(sign.padEnd(length))
    const before = wanted.at(-1)
    if (before !== undefined && isSame(before.segments, segments)) {
      wanted[wanted.length - 1] = { segments, times: before.times + 1 }
    } else wanted.push({ segments, times: 1 })
  }
  return wanted
}

function misfits(check: Wants, profile: BoardProfile): readonly string[] {
  const before = ' '.repeat(check.digit - 1)
  return [...new Set(check.signs.flatMap((sign) => glyphMisfits(before + sign, profile)))]
}

function describe(check: Wants, { clockHz }: BoardProfile): string {
  const quoted = check.signs.map((sign) => `'${sign}'`)
  const shown = quoted.length > 5 ? [...quoted.slice(0, 3), '…', ...quoted.slice(-1)] : quoted
  const parts = [`${showCount(check.signs.length, 'sign')} in turn: ${shown.join(', ')}`]
  if (check.each !== null) {
    parts.push(`each ${timeText(tStatesOf(check.each, clockHz), clockHz)} ${toleranceText(check.eachWithin)}`)
  }
  if (check.steady) parts.push('steady throughout')
  if (check.minRefresh !== null) parts.push(`swept at least ${figureText(check.minRefresh)} times a second`)
  return parts.join(', ')
}

/** The signs that were seen, without the dark display before the first and behind the last. */
function seenSigns(check: Wants, run: CaseRun, wanted: readonly WantedSign[]): readonly SeenSign[] {
  const { clockHz } = run.profile
  const look = {
    from: check.from === null ? 0 : tStatesOf(check.from, clockHz),
    to: check.to === null ? run.result.tStates : Math.min(run.result.tStates, tStatesOf(check.to, clockHz)),
    first: check.digit - 1,
    count: wanted[0]?.segments.length ?? 0,
  }
  const seen = signsSeen(run.digits(), look, tStatesOf(check.shortest, clockHz))
  const isFirstDark = isDark(wanted[0]?.segments ?? [])
  const isLastDark = isDark(wanted.at(-1)?.segments ?? [])
  const first = !isFirstDark && isDark(seen[0]?.segments ?? []) ? 1 : 0
  const last = !isLastDark && seen.length > first && isDark(seen.at(-1)?.segments ?? []) ? seen.length - 1 : seen.length
  return seen.slice(first, last)
}

function seenText(seen: readonly SeenSign[]): string {
  if (seen.length === 0) return 'a dark display'
  const quoted = seen.map(({ segments }) => signText(segments))
  const shown = quoted.length > 16 ? [...quoted.slice(0, 15), '…', ...quoted.slice(-1)] : quoted
  return `${showCount(seen.length, 'sign')}: ${shown.join(', ')}`
}

type Wrong = readonly [message: string, at: Moment]

/** The first sign that is another one, is missing, or is one too many. */
function wrongSign(check: Wants, run: CaseRun, wanted: readonly WantedSign[], seen: readonly SeenSign[]): Wrong | null {
  for (const [i, { segments }] of wanted.entries()) {
    const found = seen[i]
    if (found === undefined) {
      const shown = i === 0 ? 'none' : `only ${i}`
      const at = seen.at(-1)
      const message = `The digits showed ${shown} of ${showCount(wanted.length, 'sign')}; wanted ${signText(segments)} next.`
      return [message, at === undefined ? endOf(run) : displayWriteBefore(run, at.to)]
    }
    if (isSame(found.segments, segments)) continue
    const message = `Sign ${i + 1} of ${wanted.length} was ${signText(found.segments)}; wanted ${signText(segments)}.`
    return [message, displayWriteBefore(run, found.from)]
  }
  const extra = seen[wanted.length]
  if (extra === undefined || check.rest === 'free') return null
  return [`After the last sign came ${signText(extra.segments)}; wanted none.`, displayWriteBefore(run, extra.from)]
}

/** What is wrong with how one of the signs stood: too long or too short, flickering, swept too slowly; null when nothing is. */
function wrongFigure(
  check: Wants,
  run: CaseRun,
  wanted: readonly WantedSign[],
  seen: readonly SeenSign[],
  i: number,
): Wrong | null {
  const { clockHz } = run.profile
  const found = seen[i]
  const aimed = wanted[i]
  if (found === undefined || aimed === undefined) return null
  const { segments, times } = aimed
  const name = `Sign ${i + 1} of ${wanted.length} (${signText(segments)})`
  if (check.steady && found.restlessDigit !== null) {
    return [`${name}: digit ${found.restlessDigit} flickers; wanted it steady.`, displayWriteBefore(run, found.from)]
  }
  const isLast = i === wanted.length - 1
  if (check.each !== null && !(isLast && check.lastFree)) {
    const aim = tStatesOf(check.each, clockHz) * times
    const stood: TState = found.to - found.from
    if (Math.abs(stood - aim) > distanceOf(check.eachWithin, aim, clockHz)) {
      const words = `${timeText(aim, clockHz)} ${toleranceText(check.eachWithin)}`
      return [`${name} stood for ${timeText(stood, clockHz)}; wanted ${words}.`, displayWriteBefore(run, found.to)]
    }
  }
  if (check.minRefresh !== null && !isDark(segments)) {
    const hz = measureDisplay(run.result.events, run.profile, found.from, found.to).refreshHz ?? 0
    // Figures are quotients; a billionth part is the noise of dividing.
    if (hz < check.minRefresh * (1 - 1e-9)) {
      const words = `at least ${figureText(check.minRefresh)}`
      const message = `${name} was swept ${figureText(hz)} times a second; wanted ${words}.`
      return [message, displayWriteBefore(run, found.from)]
    }
  }
  return null
}

/**
 * Of the signs seen those that are wanted, in their order, however many stand between; with the right figures where they
 * have the right places.
 */
function partsOf(check: Wants, run: CaseRun, wanted: readonly WantedSign[], seen: readonly SeenSign[]): Parts {
  const isRight = (i: number, j: number): boolean =>
    isSame(wanted[i]?.segments ?? [], seen[j]?.segments ?? []) &&
    (i !== j || wrongFigure(check, run, wanted, seen, i) === null)
  const of = check.rest === 'none' ? Math.max(wanted.length, seen.length) : wanted.length
  return { right: longestInOrder(wanted.length, seen.length, isRight), of, before: 0 }
}

export const signsInTurn = checkKind({
  name: 'signs-in-turn',
  category: 'signs in turn',
  about: 'An eye sees given signs one after the other on the digits: a sign that scrolls, a clock that counts.',
  example: ["signs: ['23-59-59', '00-00-00', '00-00-01']", 'each: 1 s', 'minRefresh: 60'],
  fields,
  needsEnd: false,
  part: 'sign',
  cost: 1,
  misfits,
  describe,
  evaluate(check, run): Verdict {
    const wanted = wantedSigns(check)
    const seen = seenSigns(check, run, wanted)
    const aim = describe(check, run.profile)
    const measured = seenText(seen)
    const allowed = check.each === null ? null : toleranceText(check.eachWithin)
    const sign = wrongSign(check, run, wanted, seen)
    const parts = (): Parts => partsOf(check, run, wanted, seen)
    if (sign !== null) return { ...failed(measured, aim, ...sign), parts }
    for (const i of wanted.keys()) {
      const figure = wrongFigure(check, run, wanted, seen, i)
      if (figure !== null) return { ...outOfTolerance(measured, aim, allowed, ...figure), parts }
    }
    return { ...passed(measured, aim, allowed, endOf(run)), parts }
  },
})
