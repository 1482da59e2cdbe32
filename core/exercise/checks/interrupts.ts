import { eventCode } from '../../board/index.ts'
import type { BoardProfile } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import { showCount } from '../../image/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import { duration, optional, tStatesOf, whole, type ReadFields } from '../schema/index.ts'
import { countText, timeText } from '../words.ts'
import { checkKind, orOfCase, outOfTolerance, passed } from './check.ts'

const fields = {
  accepted: optional(orOfCase(whole(0, 1_000_000)), 'How many interrupts are accepted, exactly.', null, 'any'),
  atLeast: optional(orOfCase(whole(0, 1_000_000)), 'Fewest that are accepted.', null, 'any'),
  atMost: optional(orOfCase(whole(0, 1_000_000)), 'Most that are accepted.', null, 'any'),
  maxLost: optional(
    orOfCase(whole(0, 1_000_000)),
    'Most ticks of the timer that may be lost because the one before still waited.',
    null,
    'any',
  ),
  maxDelay: optional(orOfCase(duration), 'Longest time a tick may wait until it is accepted.', null, 'any'),
  from: optional(orOfCase(duration), 'Count from this time of the run on.', null, 'its start'),
  to: optional(orOfCase(duration), 'Count up to this time of the run.', null, 'its end'),
}

type Wants = ReadFields<typeof fields>

// An event stands at the strobe of the acknowledgement, three T-states into it; a tick in between waits for the next.
const acknowledgeStrobe = 3

/** Interrupts of a part of a run. */
interface Counted {
  readonly accepted: number
  readonly lost: number
  readonly firstLost: Moment | null
  readonly longestDelay: TState
  readonly longestAt: Moment | null
  readonly last: Moment | null
}

function counted(check: Wants, run: CaseRun): Counted {
  const { clockHz, timer } = run.profile
  const { events } = run.result
  const from = check.from === null ? 0 : tStatesOf(check.from, clockHz)
  const to = check.to === null ? Infinity : tStatesOf(check.to, clockHz)
  const phase = run.request.given.timerPhase ?? 0
  const tickAt = (n: number): TState => Math.round((n * clockHz) / (timer?.hz ?? 1)) - phase
  let accepted = 0
  let lost = 0
  let firstLost: Moment | null = null
  let longestDelay = 0
  let longestAt: Moment | null = null
  let last: Moment | null = null
  // The number of the first tick that nothing has accepted yet.
  let waiting = 1
  for (let i = 0; i < events.length; i++) {
    const code = events.codeAt(i)
    if (code !== eventCode.interrupt && code !== eventCode.interruptLost) continue
    const t = events.timeAt(i)
    if (t >= to) break
    if (code === eventCode.interruptLost) {
      if (t < from) continue
      lost += 1
      firstLost ??= { t, address: last?.address ?? run.result.lastPc, step: null }
      continue
    }
    const delay = t - tickAt(waiting)
    waiting = Math.floor(((t - acknowledgeStrobe + phase) * (timer?.hz ?? 1)) / clockHz) + 1
    if (t < from) continue
    accepted += 1
    last = { t, address: events.pcAt(i), step: null }
    if (delay > longestDelay) [longestDelay, longestAt] = [delay, last]
  }
  return { accepted, lost, firstLost, longestDelay, longestAt, last }
}

/** How many are to be accepted, both ends included; null where the check does not count them. */
function boundsOf({ accepted, atLeast, atMost }: Wants): readonly [low: number, high: number] | null {
  if (accepted !== null) return [accepted, accepted]
  return atLeast === null && atMost === null ? null : [atLeast ?? 0, atMost ?? Infinity]
}

function rangeText([low, high]: readonly [number, number]): string {
  if (low === high) return countText(low)
  if (high === Infinity) return `at least ${countText(low)}`
  return low === 0 ? `at most ${countText(high)}` : `${countText(low)} to ${countText(high)}`
}

function wantedText(check: Wants, { clockHz }: BoardProfile): string {
  const parts: string[] = []
  const bounds = boundsOf(check)
  if (bounds !== null) parts.push(`${rangeText(bounds)} accepted`)
  if (check.maxLost !== null) parts.push(check.maxLost === 0 ? 'none lost' : `at most ${countText(check.maxLost)} lost`)
  if (check.maxDelay !== null)
    parts.push(`none waits longer than ${timeText(tStatesOf(check.maxDelay, clockHz), clockHz)}`)
  return parts.join(', ')
}

export const interrupts = checkKind({
  name: 'interrupts',
  category: 'interrupts accepted and lost',
  about: 'The program accepts the interrupts of the timer: as many as asked, none too late, none lost.',
  example: ['atLeast: 1000', 'atMost: 1002', 'maxLost: 0'],
  fields,
  needsEnd: false,
  cost: 1,
  misfits: (check, profile) => [
    ...([check.accepted, check.atLeast, check.atMost, check.maxLost, check.maxDelay].every((each) => each === null)
      ? ['needs accepted, atLeast, atMost, maxLost or maxDelay']
      : []),
    ...(check.accepted !== null && (check.atLeast !== null || check.atMost !== null)
      ? ['found accepted beside atLeast or atMost, allowed one way to count']
      : []),
    ...(typeof check.atLeast === 'number' && typeof check.atMost === 'number' && check.atLeast > check.atMost
      ? [`found atLeast ${check.atLeast} above atMost ${check.atMost}`]
      : []),
    ...(profile.timer === null ? [`found a check of interrupts, allowed none: ${profile.title} has no timer`] : []),
  ],
  describe: (check, profile) => wantedText(check, profile),
  evaluate(check, run) {
    const { clockHz } = run.profile
    const found = counted(check, run)
    const wanted = wantedText(check, run.profile)
    const measured =
      `${showCount(found.accepted, 'interrupt')} accepted, ${found.lost === 0 ? 'none' : countText(found.lost)} lost` +
      (check.maxDelay === null ? '' : `, longest wait ${timeText(found.longestDelay, clockHz)}`)
    if (check.maxLost !== null && found.lost > check.maxLost) {
      const aim = check.maxLost === 0 ? 'none' : `at most ${countText(check.maxLost)}`
      const message = `${showCount(found.lost, 'tick')} of the timer came while the one before still waited and ${found.lost === 1 ? 'was' : 'were'} lost; wanted ${aim}.`
      return outOfTolerance(measured, wanted, null, message, found.firstLost ?? endOf(run))
    }
    const bounds = boundsOf(check)
    if (bounds !== null && (found.accepted < bounds[0] || found.accepted > bounds[1])) {
      const message = `${showCount(found.accepted, 'interrupt')} ${found.accepted === 1 ? 'was' : 'were'} accepted; wanted ${rangeText(bounds)}.`
      return outOfTolerance(measured, wanted, null, message, found.last ?? endOf(run))
    }
    if (check.maxDelay !== null) {
      const most = tStatesOf(check.maxDelay, clockHz)
      if (found.longestDelay > most) {
        const message = `A tick waited ${timeText(found.longestDelay, clockHz)} until it was accepted; wanted at most ${timeText(most, clockHz)}.`
        return outOfTolerance(measured, wanted, null, message, found.longestAt ?? endOf(run))
      }
    }
    return passed(measured, wanted, null, endOf(run))
  },
})
