import { endOf } from '../case-run.ts'
import { distanceOf, duration, optional, tolerance, toleranceText, tStatesOf } from '../schema/index.ts'
import { countText, timeText } from '../words.ts'
import { checkKind, orOfCase, outOfTolerance, passed } from './check.ts'

export const tStates = checkKind({
  name: 't-states',
  category: 'time taken',
  about: 'The run takes a given time, from the first instruction through the HALT or RET that ends it.',
  example: ['near: 500 ms', 'within: 0.1 %'],
  fields: {
    max: optional(orOfCase(duration), 'Longest time allowed.', null, 'no limit'),
    min: optional(orOfCase(duration), 'Shortest time allowed.', null, 'no limit'),
    near: optional(orOfCase(duration), 'Time wanted, with `within`.', null),
    within: optional(tolerance('%', 'T', 'us', 'ms', 's'), 'How far from `near` is right.', {
      amount: 1,
      unit: '%',
    } as const),
  },
  needsEnd: true,
  isOfPath: true,
  // A crash comes at a time as well; what was stopped has taken none that it chose.
  isCreditedWithoutEnd: ({ result }) => result.end.kind === 'left-program' || result.end.kind === 'stack-fault',
  misfits: (check) =>
    check.max === null && check.min === null && check.near === null ? ['needs max, min or near'] : [],
  describe(check, { clockHz }) {
    const parts: string[] = []
    if (check.near !== null)
      parts.push(`${timeText(tStatesOf(check.near, clockHz), clockHz)} ${toleranceText(check.within)}`)
    if (check.min !== null) parts.push(`at least ${timeText(tStatesOf(check.min, clockHz), clockHz)}`)
    if (check.max !== null) parts.push(`at most ${timeText(tStatesOf(check.max, clockHz), clockHz)}`)
    return parts.join(', ')
  },
  evaluate(check, run) {
    const { clockHz } = run.profile
    const taken = run.result.tStates
    const limits: { low: number; high: number; wanted: string; tolerance: string | null }[] = []
    if (check.near !== null) {
      const near = tStatesOf(check.near, clockHz)
      const distance = distanceOf(check.within, near, clockHz)
      const words = { wanted: timeText(near, clockHz), tolerance: toleranceText(check.within) }
      limits.push({ low: near - distance, high: near + distance, ...words })
    }
    if (check.min !== null) {
      const min = tStatesOf(check.min, clockHz)
      limits.push({ low: min, high: Infinity, wanted: `at least ${timeText(min, clockHz)}`, tolerance: null })
    }
    if (check.max !== null) {
      const max = tStatesOf(check.max, clockHz)
      limits.push({ low: -Infinity, high: max, wanted: `at most ${timeText(max, clockHz)}`, tolerance: null })
    }
    const measured = timeText(taken, clockHz)
    const wanted = limits.map((limit) => limit.wanted).join(', ')
    const allowed = limits.find((limit) => limit.tolerance !== null)?.tolerance ?? null
    const broken = limits.find((limit) => taken < limit.low || taken > limit.high)
    if (broken === undefined) return passed(measured, wanted, allowed, endOf(run))
    const off =
      taken > broken.high
        ? `${countText(Math.ceil(taken - broken.high))} T too long`
        : `${countText(Math.ceil(broken.low - taken))} T too short`
    const aim = broken.tolerance === null ? broken.wanted : `${broken.wanted} ${broken.tolerance}`
    const message = `The run took ${measured}; wanted ${aim}: ${off}.`
    return outOfTolerance(measured, wanted, allowed, message, endOf(run))
  },
})
