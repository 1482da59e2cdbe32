import type { BoardProfile } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import { showCount, showWord } from '../../image/index.ts'
import { registerNames } from '../case.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import { handlerVisits, type HandlerVisit } from '../handler-visits.ts'
import { choice, duration, flag, list, optional, tStatesOf, type ReadFields } from '../schema/index.ts'
import { andList, timeText } from '../words.ts'
import { checkKind, failed, orOfCase, outOfTolerance, passed, type Verdict } from './check.ts'
import { partNumbersOf, registerText, registerValue } from './registers.ts'

const fields = {
  max: optional(
    orOfCase(duration),
    'Longest time from the acceptance of an interrupt to the end of the RET or RETI that returns.',
    null,
    'no limit',
  ),
  registers: optional(
    list(choice(registerNames), 0, 25),
    'Registers that hold at the return what they held at the acceptance.',
    ['af', 'bc', 'de', 'hl', 'ix', 'iy'] as const,
  ),
  enables: optional(flag, 'Interrupts are enabled again at the return (EI before RET).', true),
}

type Wants = ReadFields<typeof fields>

function describe(check: Wants, { clockHz }: BoardProfile): string {
  const parts: string[] = []
  if (check.max !== null) parts.push(`the handler takes at most ${timeText(tStatesOf(check.max, clockHz), clockHz)}`)
  if (check.registers.length > 0) {
    parts.push(`it keeps ${andList(check.registers.map((each) => each.toUpperCase().replace('_', "'")))}`)
  }
  if (check.enables) parts.push('it enables interrupts before it returns')
  return parts.length === 0 ? 'the handler returns' : parts.join(', ')
}

function lengthOf({ from, to }: HandlerVisit): TState {
  return to === null ? Infinity : to - from
}

/** The instruction that returned. */
function returnOf(visit: HandlerVisit): Moment {
  return { t: (visit.to ?? visit.from) - 1, address: visit.lastPc, step: null }
}

/** What is wrong with one visit; null when it is right. */
function wrongVisit(check: Wants, visit: HandlerVisit, name: string, wanted: string, clockHz: number): Verdict | null {
  const changed = check.registers.find((each) => registerValue(visit.before, each) !== registerValue(visit.after, each))
  if (changed !== undefined) {
    const now = registerText(changed, registerValue(visit.after, changed))
    const was = registerText(changed, registerValue(visit.before, changed))
    return failed(now, wanted, `${name} came back with ${now}; it was ${was} when it came.`, returnOf(visit))
  }
  if (check.enables && !visit.after.iff1) {
    const message = `${name} returned to ${showWord(visit.address)} with interrupts disabled; wanted EI before the return.`
    return failed('interrupts disabled at the return', wanted, message, returnOf(visit))
  }
  const most = check.max === null ? Infinity : tStatesOf(check.max, clockHz)
  if (lengthOf(visit) <= most) return null
  const measured = timeText(lengthOf(visit), clockHz)
  const message = `${name} took ${measured}; wanted at most ${timeText(most, clockHz)}.`
  return outOfTolerance(measured, wanted, null, message, returnOf(visit))
}

/** The verdict on an interrupt that never came back, unless the budget of the run cut it short. */
function neverBack(check: Wants, run: CaseRun, visit: HandlerVisit, name: string, wanted: string): Verdict | null {
  const { clockHz, timer } = run.profile
  const patience = check.max === null ? clockHz / (timer?.hz ?? 1) : tStatesOf(check.max, clockHz)
  const isCut = run.result.end.kind === 'budget-used-up' || run.result.end.kind === 'stopped'
  if (isCut && run.result.tStates - visit.from <= patience) return null
  const message = `${name} never returned to ${showWord(visit.address)}, where it came.`
  return failed('no return', wanted, message, { t: visit.from, address: visit.address, step: null })
}

export const handler = checkKind({
  name: 'handler',
  category: 'the interrupt handler',
  about: 'The interrupt handler is short enough, keeps the registers, and enables interrupts again before it returns.',
  example: ['max: 400 T', 'registers: [af, bc, de, hl, ix, iy]'],
  fields,
  needsEnd: false,
  cost: 2,
  misfits: (_check, profile) =>
    profile.timer === null ? [`found a check of interrupts, allowed none: ${profile.title} has no timer`] : [],
  describe,
  // A register that nothing had set when the first interrupt came: the handler may have set it to what it held by chance.
  mayBeChance(check, run, use) {
    const first = handlerVisits(run.request, run.result)[0]?.from ?? Infinity
    return check.registers.some((register) =>
      partNumbersOf(register).some((part) => use.setAt(part) >= first && !use.isKept(part)),
    )
  },
  evaluate(check, run) {
    const { clockHz } = run.profile
    const wanted = describe(check, run.profile)
    const visits = handlerVisits(run.request, run.result)
    if (visits.length === 0) return failed('no interrupt', wanted, 'No interrupt was accepted in this run.', endOf(run))
    let longest = 0
    for (const [i, visit] of visits.entries()) {
      const name = `The handler of interrupt ${i + 1}`
      if (visit.to === null) {
        const lost = neverBack(check, run, visit, name, wanted)
        if (lost !== null) return lost
        continue
      }
      const wrong = wrongVisit(check, visit, name, wanted, clockHz)
      if (wrong !== null) return wrong
      longest = Math.max(longest, lengthOf(visit))
    }
    const measured = `${showCount(visits.length, 'interrupt')}, the longest handler ${timeText(longest, clockHz)}`
    return passed(measured, wanted, null, endOf(run))
  },
})
