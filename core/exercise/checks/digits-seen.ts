import {
  isDisplayDark,
  measureDisplay,
  segmentsOf,
  type BoardProfile,
  type DigitSpan,
  type DisplayMeasure,
} from '../../board/index.ts'
import type { Byte, TState } from '../../cpu/index.ts'
import { endOf, type CaseRun } from '../case-run.ts'
import {
  choice,
  distanceOf,
  duration,
  flag,
  number,
  optional,
  required,
  text,
  tolerance,
  toleranceText,
  tStatesOf,
  type Amount,
  type ReadFields,
} from '../schema/index.ts'
import { amountText, figureText, milliseconds, timeText } from '../words.ts'
import { checkKind, failed, orOfCase, outOfTolerance, passed, type Parts, type Verdict } from './check.ts'
import { glyphMisfits } from './digit-buffer.ts'
import { displayWriteBefore } from './display-moment.ts'
import {
  firstWrong,
  longestShowing,
  longestStretch,
  mostlySeen,
  mostStanding,
  onlySeen,
  within,
  type Stretch,
} from './standing-glyphs.ts'

const fields = {
  glyphs: required(
    orOfCase(text(1, 16)),
    'The glyphs, one for each digit from the left; a blank is a dark digit, digits behind the last glyph are free.',
  ),
  state: optional(
    choice(['steady', 'any']),
    '`steady`: all at once, without flicker. `any`: each digit shows its glyph at some time, and no other.',
    'steady' as const,
  ),
  for: optional(orOfCase(duration), 'How long they stand.', null, 'any time an eye can see'),
  forWithin: optional(
    tolerance('%', 'T', 'us', 'ms', 's'),
    'How far from it is right.',
    { amount: 5, unit: '%' } satisfies Amount as Amount,
    '±5 %',
  ),
  minRefresh: optional(orOfCase(number(1, 100_000)), 'Fewest sweeps of the display in a second.', null, 'any'),
  maxSpread: optional(
    orOfCase(number(0, 100)),
    'Most by which the darkest digit may be darker than the brightest, in percent.',
    null,
    'any',
  ),
  maxGhost: optional(
    orOfCase(number(0, 100)),
    "Most of a digit's lit time in which another digit's segments show in it, in percent.",
    null,
    'any',
  ),
  darkAtEnd: optional(flag, 'No segment is lit when the run ends.', false),
  from: optional(orOfCase(duration), 'Look from this time of the run on.', null, 'its start'),
  to: optional(orOfCase(duration), 'Look up to this time of the run.', null, 'its end'),
}

type Wants = ReadFields<typeof fields>

/** The part of the run that is looked at. */
function windowOf(check: Wants, { profile, result }: CaseRun): Stretch {
  return {
    from: check.from === null ? 0 : tStatesOf(check.from, profile.clockHz),
    to: check.to === null ? result.tStates : tStatesOf(check.to, profile.clockHz),
  }
}

/** What each digit must show: its segments. */
function wantedSegments(check: Wants): readonly number[] {
  return Array.from(check.glyphs, (glyph) => segmentsOf(glyph) ?? 0)
}

function describe(check: Wants, { clockHz }: BoardProfile): string {
  const parts = [`'${check.glyphs}' ${check.state === 'steady' ? 'stands steadily' : 'is seen'}`]
  if (check.for !== null) {
    parts.push(`for ${milliseconds(tStatesOf(check.for, clockHz), clockHz)} ${toleranceText(check.forWithin)}`)
  }
  if (check.minRefresh !== null) parts.push(`swept at least ${figureText(check.minRefresh)} times a second`)
  if (check.maxSpread !== null) parts.push(`digits equally bright within ${figureText(check.maxSpread)} %`)
  if (check.maxGhost !== null) parts.push(`ghosts at most ${figureText(check.maxGhost)} %`)
  if (check.darkAtEnd) parts.push('dark at the end')
  if (check.from !== null) parts.push(`from ${amountText(check.from)} on`)
  if (check.to !== null) parts.push(`up to ${amountText(check.to)}`)
  return parts.join(', ')
}

export const digitsSeen = checkKind({
  name: 'digits-seen',
  category: 'what the digits show',
  about: 'An eye that looks at the digits sees given glyphs: segments are added up over time, as an eye does.',
  example: ['glyphs: DEPOT 37', 'for: 2 s', 'minRefresh: 60', 'darkAtEnd: true'],
  fields,
  needsEnd: false,
  isOfMoment: true,
  part: 'digit',
  cost: 1,
  misfits: (check, profile) => [
    ...glyphMisfits(check.glyphs, profile),
    ...(check.state === 'any' && check.for !== null
      ? [
          'found `for` beside `state: any`, allowed with `state: steady`: glyphs that need not stand together have no one time',
        ]
      : []),
  ],
  describe,
  evaluate(check, run): Verdict {
    const wanted = wantedSegments(check)
    const spans = within(run.digits(), windowOf(check, run))
    const verdict = verdictOn(check, run, spans, wanted)
    return { ...verdict, parts: () => partsOf(check, spans, wanted, verdict.outcome === 'passed') }
  },
})

function verdictOn(check: Wants, run: CaseRun, spans: readonly DigitSpan[], wanted: readonly number[]): Verdict {
  const aim = describe(check, run.profile)
  const seen = `'${mostlySeen(spans, wanted.length)}'`
  if (check.state === 'any') return seenAtAll(check, run, spans, wanted, seen, aim)
  const stretch = longestStretch(spans, wanted)
  if (stretch !== null) return standing(check, run, stretch, aim)
  const wrong = firstWrong(spans, wanted)
  const restless = spans.find((span) => span.segments !== 0 && span.state !== 'steady')
  const said =
    restless !== undefined && wrong === null ? `${seen} (digit ${restless.digit + 1} ${restless.state})` : seen
  const at = wrong ?? restless
  return failed(
    `seen: ${said}`,
    aim,
    `The digits showed ${said}; wanted '${check.glyphs}' standing steadily.`,
    at === undefined ? endOf(run) : displayWriteBefore(run, at.from),
  )
}

/**
 * Each digit that shows what it must is a part, those of a display that has to stand all at the same time. How they stand
 * is one more, where the check asks for it: how long, how often swept, how bright, and dark at the end.
 */
function partsOf(check: Wants, spans: readonly DigitSpan[], wanted: readonly number[], isPassed: boolean): Parts {
  const asked = [check.for, check.minRefresh, check.maxSpread, check.maxGhost, check.darkAtEnd ? true : null]
  const figures = asked.some((each) => each !== null) ? 1 : 0
  const right = check.state === 'any' ? onlySeen(spans, wanted) : mostStanding(spans, wanted)
  return {
    right: right + (isPassed ? figures : 0),
    of: wanted.length + figures,
    before: wanted.filter((segments) => segments === 0).length,
  }
}

function seenAtAll(
  check: Wants,
  run: CaseRun,
  spans: readonly DigitSpan[],
  wanted: readonly number[],
  seen: string,
  aim: string,
): Verdict {
  const wrong = firstWrong(spans, wanted)
  const missing = wanted.findIndex(
    (segments, digit) => segments !== 0 && !spans.some((span) => span.digit === digit && span.segments === segments),
  )
  if (wrong !== null || missing >= 0) {
    const digit = (wrong?.digit ?? missing) + 1
    const found = wrong === null ? 'stayed without it' : `showed '${wrong.glyph}'${pointOf(wrong.segments)}`
    const glyph = [...check.glyphs][digit - 1] ?? ' '
    const message = `Digit ${digit} ${found}; wanted '${glyph}'.`
    return failed(`seen: ${seen}`, aim, message, wrong === null ? endOf(run) : displayWriteBefore(run, wrong.from))
  }
  const showing = longestShowing(spans, wanted)
  const figures = showing === null ? null : figuresOf(check, run, showing)
  const measured = [`seen: ${seen}`, ...figureWords(check, figures)].join(', ')
  const off = figures === null || showing === null ? null : figureOff(check, figures)
  if (off !== null && showing !== null)
    return outOfTolerance(measured, aim, null, off, displayWriteBefore(run, showing.to))
  return darkness(check, run, measured, aim) ?? passed(measured, aim, null, endOf(run))
}

/** A glyph is read without its point, and a point too many is wrong. */
function pointOf(segments: Byte): string {
  const point = 0x80
  return (segments & point) !== 0 && segments !== point ? ' with its point' : ''
}

/** The verdict when the display should have gone dark and did not. */
function darkness(check: Wants, run: CaseRun, measured: string, aim: string): Verdict | null {
  const end = run.result.tStates
  if (!check.darkAtEnd || isDisplayDark(run.result.events, run.profile, end)) return null
  const message = 'A digit is still lit when the run ends; wanted a dark display.'
  return failed(`${measured}, still lit at the end`, aim, message, displayWriteBefore(run, end))
}

/**
 * How much darker the darkest lit digit is than the brightest, 0 to 1. Light of a whole sweep times sweeps a second, so
 * that a stretch that begins and ends inside a sweep favours no digit.
 */
function brightnessSpread(display: DisplayMeasure): number {
  const levels = display.digits.flatMap(({ sweeps, refreshHz, brightness }) =>
    refreshHz === null || brightness === 0 ? [] : [(brightness / sweeps) * refreshHz],
  )
  return levels.length < 2 ? 0 : 1 - Math.min(...levels) / Math.max(...levels)
}

/** Figures of the display over a stretch, in sweeps a second and percent; null where nothing asks for them. */
function figuresOf(check: Wants, run: CaseRun, { from, to }: Stretch): Figures | null {
  if (check.minRefresh === null && check.maxSpread === null && check.maxGhost === null) return null
  const display = measureDisplay(run.result.events, run.profile, from, to)
  return {
    hz: display.refreshHz ?? 0,
    spread: brightnessSpread(display) * 100,
    ghost: Math.max(0, ...display.digits.map((digit) => digit.ghost)) * 100,
  }
}

interface Figures {
  readonly hz: number
  readonly spread: number
  readonly ghost: number
}

/** Time, refresh, brightness and ghosts of the stretch in which the glyphs stood. */
function standing(check: Wants, run: CaseRun, stretch: Stretch, aim: string): Verdict {
  const { clockHz } = run.profile
  const time = stretch.to - stretch.from
  const figures = figuresOf(check, run, stretch)
  const measured = [`'${check.glyphs}' for ${milliseconds(time, clockHz)}`, ...figureWords(check, figures)].join(', ')
  const allowed = check.for === null ? null : toleranceText(check.forWithin)
  const off = wrongTime(check, time, clockHz, allowed) ?? (figures === null ? null : figureOff(check, figures))
  if (off !== null) return outOfTolerance(measured, aim, allowed, off, displayWriteBefore(run, stretch.to))
  return darkness(check, run, measured, aim) ?? passed(measured, aim, allowed, endOf(run))
}

/** The figures that are asked for, in words. */
function figureWords(check: Wants, figures: Figures | null): readonly string[] {
  if (figures === null) return []
  return [
    check.minRefresh === null ? '' : `${figureText(figures.hz)} sweeps a second`,
    check.maxSpread === null ? '' : `brightness within ${figureText(figures.spread)} %`,
    check.maxGhost === null ? '' : `ghosts ${figureText(figures.ghost, 2)} %`,
  ].filter((each) => each !== '')
}

/** What is wrong with the time that the glyphs stood, as a sentence. */
function wrongTime(check: Wants, time: TState, clockHz: number, allowed: string | null): string | null {
  if (check.for === null) return null
  const wanted = tStatesOf(check.for, clockHz)
  if (Math.abs(time - wanted) <= distanceOf(check.forWithin, wanted, clockHz)) return null
  return `The glyphs stood for ${timeText(time, clockHz)}; wanted ${timeText(wanted, clockHz)} ${allowed ?? ''}.`
}

/** The first figure that is off, as a sentence. */
function figureOff(check: Wants, { hz, spread, ghost }: Figures): string | null {
  // Figures are quotients; a billionth part is the noise of dividing.
  if (check.minRefresh !== null && hz < check.minRefresh * (1 - 1e-9)) {
    return `The display was swept ${figureText(hz)} times a second; wanted at least ${figureText(check.minRefresh)}.`
  }
  if (check.maxSpread !== null && spread > check.maxSpread + 1e-9) {
    return `The digits differ in brightness by ${figureText(spread)} %; wanted at most ${figureText(check.maxSpread)} %.`
  }
  if (check.maxGhost !== null && ghost > check.maxGhost + 1e-9) {
    return `Other digits' segments show for ${figureText(ghost, 2)} % of the time; wanted at most ${figureText(check.maxGhost)} %.`
  }
  return null
}
