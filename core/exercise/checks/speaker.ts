import {
  dutyNear,
  measureSpeaker,
  pitchNear,
  speakerEdges,
  type BoardProfile,
  type SpeakerEdges,
  type SpeakerMeasure,
} from '../../board/index.ts'
import { showCount } from '../../image/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import {
  distanceOf,
  duration,
  number,
  optional,
  tolerance,
  toleranceText,
  tStatesOf,
  whole,
  type Amount,
  type ReadFields,
} from '../schema/index.ts'
import { countText, figureText, timeText } from '../words.ts'
import { checkKind, failed, orOfCase, outOfTolerance, passed } from './check.ts'

const percent = (amount: number): Amount => ({ amount, unit: '%' })

const fields = {
  frequency: optional(orOfCase(number(0.1, 1e6)), 'Frequency wanted, in Hz.', null, 'any'),
  frequencyWithin: optional(tolerance('%', 'Hz'), 'How far from it is right.', percent(1), '±1 %'),
  duration: optional(orOfCase(duration), 'Time wanted from the first edge to the last.', null, 'any'),
  durationWithin: optional(tolerance('%', 'T', 'us', 'ms', 's'), 'How far from it is right.', percent(1), '±1 %'),
  duty: optional(orOfCase(number(0, 100)), 'Part of the time at level 1, in percent.', null, 'any'),
  dutyWithin: optional(number(0, 50), 'How many percent from it are right.', 1),
  maxJitter: optional(
    orOfCase(duration),
    'Most by which the longest half period may exceed the shortest.',
    null,
    'any',
  ),
  edges: optional(orOfCase(whole(0, 10_000_000)), 'How often the cone moves.', null, 'any'),
  edgesWithin: optional(tolerance('%', 'times'), 'How far from it is right.', percent(2), '±2 %'),
  endLevel: optional(orOfCase(whole(0, 1)), 'Level at the end of the run.', null, 'any'),
  from: optional(orOfCase(duration), 'Listen from this time of the run on.', null, 'its start'),
  to: optional(orOfCase(duration), 'Listen up to this time of the run.', null, 'its end'),
}

/** One figure of the tone: what was measured, what was wanted, and where it shows if it is off. */
interface Row {
  readonly measured: string
  readonly wanted: string
  readonly tolerance: string | null
  readonly isRight: boolean
  readonly name: string
  /** What is said when it is off, where "The <name> is off: <measured>; wanted <wanted>." would read badly. */
  readonly message?: string
  readonly where: () => Moment
}

type Wants = ReadFields<typeof fields>

/** The edge at `index`; the end of the run where there is none. */
function edgeMoment(run: CaseRun, edges: SpeakerEdges, index: number): Moment {
  const t = edges.t[index]
  if (t === undefined) return endOf(run)
  for (const event of run.result.events) {
    if (event.kind === 'speaker-edge' && event.t === t) return { t, address: event.pc, step: null }
  }
  return endOf(run)
}

/** The end of the first half period for which `isWrong` holds; the last edge where it holds for none. */
function firstHalfPeriod(run: CaseRun, edges: SpeakerEdges, isWrong: (tStates: number) => boolean): Moment {
  const index = edges.t.findIndex((t, i) => i > 0 && isWrong(t - (edges.t[i - 1] ?? 0)))
  return edgeMoment(run, edges, index < 0 ? edges.t.length - 1 : index)
}

function rowsFor(check: Wants, run: CaseRun, edges: SpeakerEdges, tone: SpeakerMeasure): readonly Row[] {
  const { clockHz } = run.profile
  const rows: Row[] = []
  const near = (value: number, wanted: number, within: Amount): boolean =>
    // Figures are quotients; a billionth part is the noise of dividing.
    Math.abs(value - wanted) <= distanceOf(within, wanted, clockHz) + Math.abs(wanted) * 1e-9
  if (check.frequency !== null) {
    const wanted = check.frequency
    const hz = pitchNear(tone, wanted)
    rows.push({
      name: 'frequency',
      measured: `${figureText(hz)} Hz`,
      wanted: `${figureText(wanted)} Hz`,
      tolerance: toleranceText(check.frequencyWithin),
      isRight: near(hz, wanted, check.frequencyWithin),
      where: () => firstHalfPeriod(run, edges, (half) => !near(clockHz / (2 * half), wanted, check.frequencyWithin)),
    })
  }
  if (check.duration !== null) {
    const wanted = tStatesOf(check.duration, clockHz)
    rows.push({
      name: 'duration',
      measured: timeText(tone.durationTStates, clockHz),
      wanted: timeText(wanted, clockHz),
      tolerance: toleranceText(check.durationWithin),
      isRight: near(tone.durationTStates, wanted, check.durationWithin),
      where: () => edgeMoment(run, edges, edges.t.length - 1),
    })
  }
  if (check.edges !== null) {
    rows.push({
      name: 'number of edges',
      measured: showCount(edges.t.length, 'edge'),
      wanted: showCount(check.edges, 'edge'),
      tolerance: toleranceText(check.edgesWithin),
      isRight: near(edges.t.length, check.edges, check.edgesWithin),
      where: () => edgeMoment(run, edges, Math.min(check.edges ?? 0, edges.t.length - 1)),
    })
  }
  if (check.duty !== null) {
    const duty = (dutyNear(tone, check.duty / 100) ?? 0) * 100
    rows.push({
      name: 'duty',
      message: `The duty is ${figureText(duty)} %; wanted ${figureText(check.duty)} % ±${figureText(check.dutyWithin)}.`,
      measured: `duty ${figureText(duty)} %`,
      wanted: `duty ${figureText(check.duty)} %`,
      tolerance: `±${figureText(check.dutyWithin)}`,
      isRight: tone.duty !== null && Math.abs(duty - check.duty) <= check.dutyWithin + 1e-9,
      where: () => edgeMoment(run, edges, Math.min(2, edges.t.length - 1)),
    })
  }
  if (check.maxJitter !== null) {
    const most = tStatesOf(check.maxJitter, clockHz)
    const jitter = tone.jitterTStates
    const first = (edges.t[1] ?? 0) - (edges.t[0] ?? 0)
    rows.push({
      name: 'jitter',
      ...(jitter === null
        ? {}
        : {
            message: `The half waves differ by up to ${countText(jitter)} T; wanted at most ${countText(most)} T.`,
          }),
      measured: jitter === null ? 'no jitter to measure' : `jitter ${countText(jitter)} T`,
      wanted: `jitter at most ${countText(most)} T`,
      tolerance: null,
      isRight: jitter !== null && jitter <= most,
      where: () => firstHalfPeriod(run, edges, (half) => Math.abs(half - first) > most),
    })
  }
  if (check.endLevel !== null) {
    const level = edges.t.length === 0 ? 0 : (edges.firstLevel + edges.t.length - 1) % 2
    rows.push({
      name: 'level at the end',
      measured: `left at ${level}`,
      wanted: `left at ${check.endLevel}`,
      message: `The speaker is left at ${level}; wanted it at ${check.endLevel}.`,
      tolerance: null,
      isRight: level === check.endLevel,
      where: () => edgeMoment(run, edges, edges.t.length - 1),
    })
  }
  return rows
}

function describe(check: Wants, { clockHz }: BoardProfile): string {
  const parts: string[] = []
  if (check.frequency !== null) parts.push(`${figureText(check.frequency)} Hz ${toleranceText(check.frequencyWithin)}`)
  if (check.duration !== null) {
    parts.push(`${timeText(tStatesOf(check.duration, clockHz), clockHz)} ${toleranceText(check.durationWithin)}`)
  }
  if (check.edges !== null) parts.push(`${showCount(check.edges, 'edge')} ${toleranceText(check.edgesWithin)}`)
  if (check.duty !== null) parts.push(`duty ${figureText(check.duty)} % ±${figureText(check.dutyWithin)}`)
  if (check.maxJitter !== null) parts.push(`jitter at most ${countText(tStatesOf(check.maxJitter, clockHz))} T`)
  if (check.endLevel !== null) parts.push(`speaker left at ${check.endLevel}`)
  return parts.join(', ')
}

export const speaker = checkKind({
  name: 'speaker',
  category: 'sound',
  about:
    'The speaker gives a tone, measured from the exact T-states at which its cone moves. One late edge and the first and last half wave do not count against frequency and duty; against jitter they do.',
  example: ['frequency: 1000', 'duration: 250 ms', 'duty: 50', 'endLevel: 0'],
  fields,
  needsEnd: false,
  cost: 1,
  describe,
  evaluate(check, run) {
    const { clockHz } = run.profile
    const from = check.from === null ? 0 : tStatesOf(check.from, clockHz)
    const to = check.to === null ? run.result.tStates + 1 : tStatesOf(check.to, clockHz)
    const edges = speakerEdges(run.result.events, { from, to })
    const tone = measureSpeaker(edges, run.profile)
    const rows = rowsFor(check, run, edges, tone)
    const wanted = rows.map((row) => row.wanted).join(', ')
    const tolerances = rows.map((row) => row.tolerance).filter((each) => each !== null)
    const allowed = tolerances.length === 0 ? null : tolerances.join(', ')
    const needsEdges = check.frequency !== null || check.duty !== null || check.maxJitter !== null
    if (edges.t.length < 2 && needsEdges) {
      const measured = edges.t.length === 0 ? 'silence' : 'one click'
      const message = `The speaker gave ${measured === 'silence' ? 'no sound' : 'one click'}; wanted ${wanted}.`
      return failed(measured, wanted, message, endOf(run))
    }
    const measured = rows.map((row) => row.measured).join(', ')
    const wrong = rows.find((row) => !row.isRight)
    if (wrong === undefined) return passed(measured, wanted, allowed, endOf(run))
    const aim = wrong.tolerance === null ? wrong.wanted : `${wrong.wanted} ${wrong.tolerance}`
    const message = wrong.message ?? `The ${wrong.name} is off: ${wrong.measured}; wanted ${aim}.`
    return outOfTolerance(measured, wanted, allowed, message, wrong.where())
  },
})
