import { failed, type PreparedCheck, type Verdict } from './checks/check.ts'
import { endOf } from './case-run.ts'
import { runAt, whenText } from './moment-of-run.ts'
import { showCount } from '../image/index.ts'
import { unknownRoutines } from './checks/routine-calls.ts'
import type { When } from './when.ts'

/** One check ready for each moment at which it looks: one, or each call of a case. */
export interface MomentChecks {
  readonly when: When
  /** With the number of the call, counted from 1; null where the moment is none of a call. */
  readonly checks: readonly { readonly call: number | null; readonly check: PreparedCheck }[]
}

/** The check that looks at a moment of the run, or after each call, in place of the end. */
export function atMoments({ when, checks }: MomentChecks): PreparedCheck | undefined {
  const [first] = checks
  if (first === undefined) return undefined
  return {
    isWatchingWrites: checks.some(({ check }) => check.isWatchingWrites),
    needsModel: checks.some(({ check }) => check.needsModel),
    needsEnd: false,
    needsRun: true,
    needsRecording: true,
    cost: 3,
    // Of several calls each may want something else at the same place.
    wants: (profile, model) => (checks.length === 1 ? first.check.wants(profile, model) : []),
    open: checks.flatMap(({ check }) => check.open),
    isCreditedWithoutEnd: () => false,
    // What nothing set is followed to the end of a run, not to a moment of it: other values are tried in any case.
    mayBeChance: (run) => run.result.undefinedUse !== undefined,
    describe: (profile) => {
      const said = [...new Set(checks.map(({ check }) => check.describe(profile)))]
      if (said.length === 1) return `${whenText(when)}: ${said[0]}`
      return checks.map(({ call, check }) => `${whenText(when, call)}: ${check.describe(profile)}`).join('; ')
    },
    misfits: (profile) => [
      ...(when.routine === null ? [] : unknownRoutines(profile, [when.routine])),
      ...checks.flatMap(({ check }) => check.misfits(profile)),
    ],
    evaluate(run) {
      let wrong: Verdict | null = null
      let last: Verdict | null = null
      let right = 0
      for (const { call, check } of checks) {
        const at = runAt(run, when, call)
        const verdict =
          at === null ? neverCame(when, call, check.describe(run.profile), endOf(run)) : check.evaluate(at)
        if (verdict.outcome === 'passed') right += 1
        else wrong ??= verdict
        last = verdict
      }
      const found = wrong ?? last ?? neverCame(when, null, '', endOf(run))
      if (checks.length === 1) return found
      const parts = () => ({ right, of: checks.length, before: 0, what: 'call' })
      const measured = wrong === null ? `right after each of ${showCount(checks.length, 'call')}` : found.measured
      return { ...found, measured, message: wrong === null ? `Right: ${measured}.` : found.message, parts }
    },
  }
}

function neverCame(when: When, call: number | null, wanted: string, at: Verdict['at']): Verdict {
  const moment = whenText(when, call)
  const message = `The run never came to the moment at which this is looked at (${moment}).`
  return failed('not reached', `${moment}: ${wanted}`, message, at)
}
