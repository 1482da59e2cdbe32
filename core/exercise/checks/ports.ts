import { eventCode } from '../../board/index.ts'
import type { Byte, TState } from '../../cpu/index.ts'
import { showByte, showCount } from '../../image/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import {
  byte,
  bytes,
  choice,
  duration,
  flag,
  optional,
  required,
  tStatesOf,
  whole,
  type ReadFields,
} from '../schema/index.ts'
import { amountText, bytesText, countText } from '../words.ts'
import { checkKind, failed, orOfCase, outOfTolerance, passed, type Verdict } from './check.ts'

const fields = {
  port: required(orOfCase(byte), 'The port.'),
  direction: optional(
    choice(['written', 'read']),
    'Whether what is written to it counts, or what is read.',
    'written' as const,
  ),
  values: optional(orOfCase(bytes(1, 4096)), 'The values in turn.', null, 'any values'),
  match: optional(
    choice(['all', 'first', 'among']),
    '`all`: these values and no more. `first`: it begins with them. `among`: they come in this order, others between.',
    'all' as const,
  ),
  mask: optional(orOfCase(byte), 'The bits that count; the others may hold anything.', 0xff, 'all bits'),
  changes: optional(flag, 'A value that stood there already does not count again.', false),
  min: optional(orOfCase(whole(0, 4_000_000)), 'Fewest times.', null, 'any'),
  max: optional(orOfCase(whole(0, 4_000_000)), 'Most times; 0 means never.', null, 'any'),
  from: optional(orOfCase(duration), 'Count from this time of the run on.', null, 'its start'),
  to: optional(orOfCase(duration), 'Count up to this time of the run.', null, 'its end'),
}

type Wants = ReadFields<typeof fields>

interface Passage {
  readonly value: Byte
  readonly at: Moment
}

function passagesOf(check: Wants, run: CaseRun): readonly Passage[] {
  const { clockHz } = run.profile
  const { events } = run.result
  const code = check.direction === 'written' ? eventCode.portWrite : eventCode.portRead
  const to: TState = check.to === null ? Infinity : tStatesOf(check.to, clockHz)
  const found: Passage[] = []
  for (let i = events.firstFrom(check.from === null ? 0 : tStatesOf(check.from, clockHz)); i < events.length; i++) {
    if (events.timeAt(i) >= to) break
    if (events.codeAt(i) !== code || events.whereAt(i) !== check.port) continue
    const value = events.valueAt(i) & check.mask
    if (check.changes && found.at(-1)?.value === value) continue
    found.push({ value, at: { t: events.timeAt(i), address: events.pcAt(i), step: null } })
  }
  return found
}

function describe(check: Wants): string {
  const { direction, values, match, min, max } = check
  const way = direction === 'written' ? 'written to' : 'read from'
  const parts: string[] = []
  if (values !== null) {
    const how = { all: '', first: ' first', among: ' in this order among others' }[match]
    parts.push(`${bytesText(values.map((value) => value & check.mask))}${how} ${way} port ${showByte(check.port)}`)
  }
  if (max === 0) parts.push(`nothing ${way} port ${showByte(check.port)}`)
  else {
    const named = values === null ? ` ${way} port ${showByte(check.port)}` : ''
    if (min !== null) parts.push(`at least ${showCount(min, 'time')}${named}`)
    if (max !== null) parts.push(`at most ${showCount(max, 'time')}${named}`)
  }
  if (check.from !== null) parts.push(`from ${amountText(check.from)} on`)
  if (check.to !== null) parts.push(`up to ${amountText(check.to)}`)
  return parts.join(', ')
}

/** The verdict on the values; null when they are right. */
function wrongValues(
  check: Wants,
  run: CaseRun,
  passages: readonly Passage[],
  measured: string,
  wanted: string,
): Verdict | null {
  if (check.values === null) return null
  const values = check.values.map((value) => value & check.mask)
  const way = check.direction === 'written' ? 'written' : 'read'
  if (check.match === 'among') {
    let next = 0
    for (const { value } of passages) if (value === values[next]) next += 1
    const missing = values[next]
    if (missing === undefined) return null
    const message = `Value ${next + 1} of ${values.length}, ${showByte(missing)}, was never ${way} after the ones before it.`
    return failed(measured, wanted, message, endOf(run))
  }
  for (const [i, value] of values.entries()) {
    const found = passages[i]
    if (found?.value === value) continue
    const aim = `wanted ${showByte(value)} as value ${i + 1} of ${values.length}`
    if (found !== undefined) return failed(measured, wanted, `${showByte(found.value)} was ${way}; ${aim}.`, found.at)
    const message = `Only ${showCount(passages.length, 'value')} ${passages.length === 1 ? 'was' : 'were'} ${way}; ${aim}.`
    return failed(measured, wanted, message, passages.at(-1)?.at ?? endOf(run))
  }
  const extra = passages[values.length]
  if (extra === undefined || check.match === 'first') return null
  const message = `After the ${showCount(values.length, 'value')} ${showByte(extra.value)} was ${way} too; wanted no more.`
  return failed(measured, wanted, message, extra.at)
}

export const ports = checkKind({
  name: 'ports',
  category: 'what goes through a port',
  about: 'Given values are written to a port, or read from it, in order, so many times, or never.',
  example: ['port: 24h', 'values: 01 02 04 08', 'changes: true'],
  fields,
  needsEnd: false,
  cost: 1,
  misfits: (check) =>
    check.values === null && check.min === null && check.max === null ? ['needs values, min or max'] : [],
  describe,
  evaluate(check, run) {
    const passages = passagesOf(check, run)
    const wanted = describe(check)
    const count = passages.length
    const held = bytesText(passages.slice(0, 17).map(({ value }) => value))
    const measured =
      count === 0
        ? `nothing ${check.direction}`
        : check.values === null || count > 17
          ? `${countText(count)} times`
          : held
    const wrong = wrongValues(check, run, passages, measured, wanted)
    if (wrong !== null) return wrong
    const { min, max } = check
    if (max !== null && count > max) {
      const aim = max === 0 ? 'never' : `at most ${showCount(max, 'time')}`
      const message = `Port ${showByte(check.port)} was ${check.direction} ${showCount(count, 'time')}; wanted ${aim}.`
      return outOfTolerance(measured, wanted, null, message, passages[max]?.at ?? endOf(run))
    }
    if (min !== null && count < min) {
      const message = `Port ${showByte(check.port)} was ${check.direction} ${showCount(count, 'time')}; wanted at least ${countText(min)}.`
      return outOfTolerance(measured, wanted, null, message, passages.at(-1)?.at ?? endOf(run))
    }
    return passed(measured, wanted, null, endOf(run))
  },
})
