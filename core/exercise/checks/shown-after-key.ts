import type { BoardProfile } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import { showCount } from '../../image/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import { duration, flag, list, optional, required, text, tStatesOf, whole, type ReadFields } from '../schema/index.ts'
import { milliseconds } from '../words.ts'
import { checkKind, failed, orOfCase, outOfTolerance, passed, withParts, type Verdict } from './check.ts'
import { glyphMisfits } from './digit-buffer.ts'
import { displayWriteBefore } from './display-moment.ts'
import { isSame, segmentsOfText, signsSeen, signText, type SeenSign } from './sign-timeline.ts'

const fields = {
  signs: required(
    orOfCase(list(text(1, 16), 1, 200)),
    'What stands on the digits after each press, one sign for each key of the case; a blank is a dark digit, `*` alone is anything.',
  ),
  digit: optional(whole(1, 16), 'The digit on which their first glyph stands, counted from 1 at the left.', 1),
  within: required(orOfCase(duration), 'Longest time from the press, its first contact, to the sign.'),
  stays: optional(flag, 'Once shown it stands until the next key goes down.', true),
}

type Wants = ReadFields<typeof fields>

/** A sign that is not looked at. */
const anything = '*'

/** What stands for less is a digit that changes before its neighbour. */
const changeMs = 20

/** The presses of the case in the order of their times. */
function presses(run: CaseRun): readonly { readonly key: string; readonly from: TState }[] {
  return run.request.given.keys.filter(({ isIdle }) => isIdle !== true).toSorted((a, b) => a.from - b.from)
}

function describe(check: Wants, { clockHz }: BoardProfile): string {
  const quoted = check.signs.map((sign) => `'${sign}'`)
  const shown = quoted.length > 5 ? [...quoted.slice(0, 3), '…', ...quoted.slice(-1)] : quoted
  const after = `${shown.join(', ')} after each of ${showCount(check.signs.length, 'key')}`
  return `${after}, within ${milliseconds(tStatesOf(check.within, clockHz), clockHz)}`
}

/** When the wanted sign begins to stand after a press; null where it does not before the next one. */
function shownAt(
  signs: readonly SeenSign[],
  wanted: readonly number[],
  from: TState,
  until: TState,
): { readonly t: TState; readonly to: TState } | null {
  const sign = signs.find((each) => each.to > from && each.from < until && isSame(each.segments, wanted))
  return sign === undefined ? null : { t: Math.max(from, sign.from), to: sign.to }
}

function signAt(signs: readonly SeenSign[], t: TState): string {
  const sign = signs.find((each) => each.from <= t && each.to > t) ?? signs.at(-1)
  return sign === undefined ? 'a dark display' : signText(sign.segments)
}

export const shownAfterKey = checkKind({
  name: 'shown-after-key',
  category: 'the display after each key',
  about: 'After each press of a key the digits show what they should, soon enough, and go on showing it.',
  example: ["signs: ['01', '02', '03']", 'digit: 7', 'within: 50 ms'],
  fields,
  needsEnd: false,
  part: 'key',
  cost: 1,
  misfits: (check, profile) => [
    ...new Set(
      check.signs.flatMap((sign) =>
        sign === anything ? [] : glyphMisfits(' '.repeat(check.digit - 1) + sign, profile),
      ),
    ),
  ],
  describe,
  evaluate(check, run): Verdict {
    const { clockHz } = run.profile
    const length = Math.max(...check.signs.map((sign) => [...sign].length))
    const keys = presses(run)
    const limit = tStatesOf(check.within, clockHz)
    const look = { from: 0, to: run.result.tStates, first: check.digit - 1, count: length }
    const signs = signsSeen(run.digits(), look, (changeMs * clockHz) / 1000)
    const aim = describe(check, run.profile)
    let slowest = 0
    let right = 0
    const looked = check.signs.filter((sign) => sign !== anything).length
    let wrong: Verdict | null = null
    for (const [i, sign] of check.signs.entries()) {
      if (sign === anything) continue
      const found = afterPress(check, run, keys, { i, sign, signs, length, limit, aim })
      if (typeof found === 'number') {
        slowest = Math.max(slowest, found)
        right += 1
      } else wrong ??= found
    }
    const measured = `${showCount(check.signs.length, 'key')} shown, each within ${milliseconds(slowest, clockHz)}`
    const most = `at most ${milliseconds(limit, clockHz)}`
    return withParts(wrong ?? passed(measured, aim, most, endOf(run)), right, looked)
  },
})

interface Press {
  readonly i: number
  readonly sign: string
  readonly signs: readonly SeenSign[]
  readonly length: number
  /** In T-states. */
  readonly limit: TState
  readonly aim: string
}

/** T-states from a press to its sign, or what is wrong after it. */
function afterPress(
  check: Wants,
  run: CaseRun,
  keys: ReturnType<typeof presses>,
  { i, sign, signs, length, limit, aim }: Press,
): TState | Verdict {
  const { clockHz } = run.profile
  const press = keys[i]
  const wanted = segmentsOfText(sign.padEnd(length))
  const key = press === undefined ? `Key ${i + 1}` : `Key ${i + 1} (${press.key})`
  const name = `After k${key.slice(1)}`
  if (press === undefined || press.from > run.result.tStates) {
    const message = `${key} came when the run had ended; wanted ${signText(wanted)} after it.`
    return failed(`${showCount(i, 'key')} before the run ended`, aim, message, endOf(run))
  }
  const until = Math.min(run.result.tStates, keys[i + 1]?.from ?? Infinity)
  const shown = shownAt(signs, wanted, press.from, until)
  const at = (t: TState): Moment => displayWriteBefore(run, t)
  if (shown === null) {
    const found = signAt(signs, Math.min(until - 1, press.from + limit))
    const message = `${name} the digits showed ${found}; wanted ${signText(wanted)}.`
    return failed(`${found} after key ${i + 1}`, aim, message, at(Math.min(until, press.from + limit)))
  }
  const delay = shown.t - press.from
  if (delay > limit) {
    const most = `at most ${milliseconds(limit, clockHz)}`
    const message = `${name} it took ${milliseconds(delay, clockHz)} until ${signText(wanted)} was shown; wanted ${most}.`
    return outOfTolerance(`shown after ${milliseconds(delay, clockHz)}`, aim, most, message, at(shown.t))
  }
  if (check.stays && shown.to < until) {
    const found = signAt(signs, shown.to)
    const message = `${name} ${signText(wanted)} gave way to ${found} before the next key; wanted it to stay.`
    return failed(`${found} after ${signText(wanted)}`, aim, message, at(shown.to))
  }
  return delay
}
