import { eventCode, type BoardProfile } from '../../board/index.ts'
import type { Byte, TState } from '../../cpu/index.ts'
import { showCount } from '../../image/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import {
  choice,
  distanceOf,
  duration,
  flag,
  list,
  optional,
  scalar,
  tolerance,
  toleranceText,
  tStatesOf,
  type Amount,
  type ReadFields,
} from '../schema/index.ts'
import { timeText } from '../words.ts'
import { checkKind, failed, orOfCase, outOfTolerance, passed, type Parts, type Verdict } from './check.ts'
import { longestInOrder } from './in-order.ts'

const pattern = scalar(
  "lamps from left to right, '*' lit and '.' dark ('*..*....')",
  { type: 'string', pattern: '^[*.]{1,16}$' },
  (value) => (typeof value === 'string' && /^[*.]{1,16}$/.test(value) ? value : undefined),
)

const fields = {
  patterns: optional(orOfCase(list(pattern, 1, 200)), 'What the lamps show in turn.', null, 'give `atEnd` instead'),
  each: optional(orOfCase(duration), 'How long each pattern stands before the next.', null, 'any time'),
  eachWithin: optional(
    tolerance('%', 'T', 'us', 'ms', 's'),
    'How far from it is right.',
    { amount: 2, unit: '%' } satisfies Amount as Amount,
    '±2 %',
  ),
  lastFree: optional(flag, 'The last pattern may stand for any time.', true),
  shortest: optional(
    duration,
    'What stands for less is not seen and counts for nothing.',
    { amount: 1, unit: 'ms' } satisfies Amount as Amount,
    '1 ms',
  ),
  rest: optional(choice(['none', 'free']), 'Whether other patterns may follow; all dark always may.', 'none' as const),
  atEnd: optional(orOfCase(pattern), 'What the lamps show when the run ends.', null, 'anything'),
}

type Wants = ReadFields<typeof fields>

/** What the lamps show from one change to the next; `value` as on their port. */
interface Standing {
  readonly from: TState
  readonly to: TState
  readonly value: Byte
  readonly at: Moment | null
}

/** Everything the lamps showed for `shortest` T-states or more; the last entry is what they show at the end. */
function shown(run: CaseRun, shortest: TState): readonly Standing[] {
  const { events, tStates } = run.result
  const bits = run.profile.lamps?.bits ?? []
  const mask = bits.reduce((sum, bit) => sum | (1 << bit), 0)
  const changes: { t: TState; value: Byte; at: Moment | null }[] = [{ t: 0, value: 0, at: null }]
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) !== eventCode.portWrite || events.whereAt(i) !== run.profile.lamps?.port) continue
    const t = events.timeAt(i)
    changes.push({ t, value: events.valueAt(i) & mask, at: { t, address: events.pcAt(i), step: null } })
  }
  const standing: Standing[] = []
  for (const [i, { t, value, at }] of changes.entries()) {
    const to = changes[i + 1]?.t ?? tStates
    const isLast = i === changes.length - 1
    const before = standing.at(-1)
    if (before?.value === value) standing[standing.length - 1] = { ...before, to }
    else if (to - t >= shortest || isLast) standing.push({ from: t, to, value, at })
    else if (before !== undefined) standing[standing.length - 1] = { ...before, to }
  }
  return standing
}

function patternText(value: Byte, profile: BoardProfile): string {
  return (profile.lamps?.bits ?? []).map((bit) => (((value >> bit) & 1) === 1 ? '*' : '.')).join('')
}

function misfits(check: Wants, profile: BoardProfile): readonly string[] {
  const { lamps } = profile
  if (lamps === null) return [`found a check of lamps, allowed none: ${profile.title} has no lamps`]
  if (check.patterns === null && check.atEnd === null) return ['needs patterns or atEnd']
  const written = [...(check.patterns ?? []), ...(check.atEnd === null ? [] : [check.atEnd])]
  const wrong = written.find((each) => each.length !== lamps.bits.length)
  return wrong === undefined ? [] : [`found '${wrong}', allowed ${showCount(lamps.bits.length, 'lamp')}`]
}

function describe(check: Wants, { clockHz }: BoardProfile): string {
  const parts: string[] = []
  if (check.patterns !== null) {
    const { patterns } = check
    const cut = patterns.length > 5 ? [...patterns.slice(0, 3), '…', ...patterns.slice(-1)] : patterns
    parts.push(`the lamps show ${cut.join(' ')} in turn`)
  }
  if (check.each !== null) {
    parts.push(`each ${timeText(tStatesOf(check.each, clockHz), clockHz)} ${toleranceText(check.eachWithin)}`)
  }
  if (check.atEnd !== null) parts.push(`${check.atEnd} at the end`)
  return parts.join(', ')
}

/** Patterns that follow each other and are alike, as one with the number of them. */
function runsOf(patterns: readonly string[]): readonly { readonly pattern: string; readonly times: number }[] {
  const runs: { pattern: string; times: number }[] = []
  for (const each of patterns) {
    const last = runs.at(-1)
    if (last?.pattern === each) last.times += 1
    else runs.push({ pattern: each, times: 1 })
  }
  return runs
}

const isDark = (pattern: string | undefined): boolean => pattern?.includes('*') === false

/** What was shown, without all dark before the first pattern and behind the last. */
function shownInTurn(patterns: readonly string[], all: readonly Standing[]): readonly Standing[] {
  const first = !isDark(patterns[0]) && all[0]?.value === 0 ? 1 : 0
  const last = !isDark(patterns.at(-1)) && all.at(-1)?.value === 0 ? all.length - 1 : all.length
  return all.slice(first, Math.max(first, last))
}

/** Whether it stands as long as it should, `times` patterns over. */
function isInTime({ each, eachWithin }: Wants, { from, to }: Standing, times: number, clockHz: number): boolean {
  if (each === null) return true
  const wanted = tStatesOf(each, clockHz) * times
  return Math.abs(to - from - wanted) <= distanceOf(eachWithin, wanted, clockHz)
}

function inTurn(
  check: Wants,
  run: CaseRun,
  all: readonly Standing[],
  measured: string,
  wanted: string,
): Verdict | null {
  if (check.patterns === null) return null
  const { clockHz } = run.profile
  const runs = runsOf(check.patterns)
  const seen = shownInTurn(check.patterns, all)
  for (const [i, { pattern: aim, times }] of runs.entries()) {
    const found = seen[i]
    const at = found?.at ?? seen.at(-1)?.at ?? endOf(run)
    if (found === undefined) {
      const message = `The lamps showed only ${i} of ${showCount(runs.length, 'pattern')}; wanted ${aim} next.`
      return failed(measured, wanted, message, at)
    }
    const text = patternText(found.value, run.profile)
    if (text !== aim) {
      return failed(measured, wanted, `Pattern ${i + 1} of ${runs.length} was ${text}; wanted ${aim}.`, at)
    }
    if (check.each === null || (i === runs.length - 1 && check.lastFree)) continue
    if (isInTime(check, found, times, clockHz)) continue
    const stood = found.to - found.from
    const words = `${timeText(tStatesOf(check.each, clockHz) * times, clockHz)} ${toleranceText(check.eachWithin)}`
    const message = `Pattern ${i + 1} of ${runs.length} (${aim}) stood for ${timeText(stood, clockHz)}; wanted ${words}.`
    const gone = seen[i + 1]?.at ?? at
    return outOfTolerance(measured, wanted, toleranceText(check.eachWithin), message, gone)
  }
  const extra = seen[runs.length]
  if (extra === undefined || check.rest === 'free') return null
  const text = patternText(extra.value, run.profile)
  return failed(measured, wanted, `After the last pattern came ${text}; wanted none.`, extra.at ?? endOf(run))
}

/**
 * Of the patterns shown those that are wanted, in their order: one left out, or one too many, costs one. What the lamps
 * show at the end is one more; where nothing else is asked, each lamp is a part.
 */
function partsOf(check: Wants, run: CaseRun, all: readonly Standing[]): Parts {
  const { patterns, atEnd, rest, lastFree } = check
  const end = patternText(all.at(-1)?.value ?? 0, run.profile)
  if (patterns === null) {
    const lamps = [...(atEnd ?? '')]
    const right = lamps.filter((lamp, i) => lamp === end[i]).length
    return { right, of: lamps.length, before: lamps.filter((lamp) => lamp === '.').length, what: 'lamp' }
  }
  const runs = runsOf(patterns)
  const seen = shownInTurn(patterns, all)
  const isRight = (i: number, j: number): boolean => {
    const [aim, found] = [runs[i], seen[j]]
    if (aim === undefined || found === undefined || patternText(found.value, run.profile) !== aim.pattern) return false
    return (i === runs.length - 1 && lastFree) || isInTime(check, found, aim.times, run.profile.clockHz)
  }
  const inTurn = longestInOrder(runs.length, seen.length, isRight)
  const isEndRight = atEnd !== null && atEnd === end && (inTurn > 0 || !isDark(atEnd))
  return {
    right: inTurn + (isEndRight ? 1 : 0),
    of: (rest === 'none' ? Math.max(runs.length, seen.length) : runs.length) + (atEnd === null ? 0 : 1),
    // Lamps that nothing has written to yet are dark.
    before: isDark(runs[0]?.pattern) ? 1 : 0,
  }
}

export const lamps = checkKind({
  name: 'lamps',
  category: 'what the lamps show',
  about: 'The lamps show given patterns one after the other, or at the end of the run.',
  example: ["patterns: ['*.......', '.*......', '..*.....']", 'each: 250 ms'],
  fields,
  needsEnd: false,
  part: 'pattern',
  cost: 1,
  misfits,
  describe,
  evaluate(check, run): Verdict {
    const wanted = describe(check, run.profile)
    const all = shown(run, tStatesOf(check.shortest, run.profile.clockHz))
    const parts = (): Parts => partsOf(check, run, all)
    const texts = all.map(({ value }) => patternText(value, run.profile))
    const measured = texts.length > 17 ? `${texts.slice(0, 16).join(' ')} … (${texts.length})` : texts.join(' ')
    const wrong = inTurn(check, run, all, measured, wanted)
    if (wrong !== null) return { ...wrong, parts }
    const end = texts.at(-1) ?? ''
    if (check.atEnd !== null && check.atEnd !== end) {
      const at = all.at(-1)?.at ?? endOf(run)
      const message = `At the end the lamps show ${end}; wanted ${check.atEnd}.`
      return { ...failed(measured, wanted, message, at), parts }
    }
    const allowed = check.each === null ? null : toleranceText(check.eachWithin)
    return { ...passed(measured, wanted, allowed, endOf(run)), parts }
  },
})
