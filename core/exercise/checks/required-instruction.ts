import { endOf } from '../case-run.ts'
import { choice, list, optional, whole, type Read } from '../schema/index.ts'
import { showCount, showWord } from '../../image/index.ts'
import type { CaseRun } from '../case-run.ts'
import { andList, countText, orList } from '../words.ts'
import { checkKind, failed, orOfCase, passed, type Verdict } from './check.ts'
import { countExecuted, firstExecuted, firstWritten, pattern } from './instruction-patterns.ts'
import { range } from './memory.ts'

/** The verdict on a loop that turns too few times, or beside which the work is done without it; null where all is well. */
function notInLoop(
  { least, writing }: { readonly least: number | null; readonly writing: Read<typeof range> | null },
  run: CaseRun,
  demand: readonly string[],
  wanted: string,
): Verdict | null {
  if (least !== null) {
    const { count, last } = countExecuted(run, demand)
    if (count < least) {
      const times = count === 1 ? 'once' : `${countText(count)} times`
      const message = `${orList(demand)} is executed ${times}; wanted at least ${countText(least)} times.`
      return failed(`${orList(demand)} executed ${times}`, wanted, message, last ?? endOf(run))
    }
  }
  if (writing === null) return null
  const once = writtenOnce(run, writing)
  const size = writing.to - writing.from + 1
  const first = once[0]
  if (first === undefined || once.length * 2 <= size) return null
  const place = `${showWord(writing.from)} to ${showWord(writing.to)}`
  const measured = `${showCount(once.length, 'byte')} of ${countText(size)} written without a loop`
  const message = `Of ${place} ${showCount(once.length, 'byte')} are written by instructions that run only once, the first at ${showWord(first.address)}; wanted a loop that writes them.`
  return failed(measured, wanted, message, { ...first, step: null })
}

/** T-states within which two bytes written by the same instruction are one word: no instruction comes again so soon. */
const wordTStates = 8

/** For each address of a range that was written, but by no instruction that ran more than once: who wrote it, and when. */
function writtenOnce(
  run: CaseRun,
  { from, to }: Read<typeof range>,
): readonly { readonly t: number; readonly address: number }[] {
  const firstWrites = new Map<number, number>()
  const turning = new Set<number>()
  const writers = new Map<number, { readonly t: number; readonly address: number }[]>()
  for (const event of run.result.events) {
    if (event.kind !== 'memory-write' || event.address < from || event.address > to) continue
    const { t, pc, address } = event
    const first = firstWrites.get(pc)
    if (first === undefined) firstWrites.set(pc, t)
    else if (t - first > wordTStates) turning.add(pc)
    writers.set(address, [...(writers.get(address) ?? []).slice(-8), { t, address: pc }])
  }
  return [...writers.values()].flatMap((each) =>
    each.some(({ address }) => turning.has(address)) ? [] : each.slice(0, 1),
  )
}

export const requiredInstruction = checkKind({
  name: 'required-instruction',
  category: 'instructions asked for',
  about: 'The program uses certain instructions.',
  example: ['any: [LDIR, DJNZ]'],
  fields: {
    any: optional(list(pattern, 1, 32), 'At least one of these.', null),
    all: optional(list(pattern, 1, 32), 'Every one of these.', null),
    how: optional(
      choice(['executed', 'written']),
      'Whether the run must come to it, or it must stand in the listing.',
      'executed' as const,
    ),
    least: optional(
      orOfCase(whole(0, 1_000_000)),
      'Fewest times that it is executed; each round of LDIR and its like counts.',
      null,
      'once',
    ),
    writing: optional(
      range,
      'Addresses that a loop has to write: most of them by instructions that run more than once.',
      null,
      'nothing',
    ),
  },
  needsEnd: false,
  isOfPath: true,
  cost: 2,
  needsRecording: (check) => check.least !== null,
  isWatchingWrites: (check) => check.writing !== null,
  misfits: (check) => (check.any === null && check.all === null ? ['needs any or all'] : []),
  describe: (check) =>
    [check.any === null ? '' : orList(check.any), check.all === null ? '' : andList(check.all)]
      .filter((part) => part !== '')
      .join('; ') +
    (check.how === 'executed' ? ' is executed' : ' stands in the listing') +
    (check.least === null ? '' : ` at least ${countText(check.least)} times`) +
    (check.writing === null
      ? ''
      : `, in a loop that writes ${showWord(check.writing.from)} to ${showWord(check.writing.to)}`),
  evaluate(check, run) {
    const find = check.how === 'executed' ? firstExecuted : firstWritten
    const demands = [...(check.any === null ? [] : [check.any]), ...(check.all ?? []).map((each) => [each])]
    const times = check.least === null ? '' : ` at least ${countText(check.least)} times`
    const loop =
      check.writing === null ? '' : `, writing ${showWord(check.writing.from)} to ${showWord(check.writing.to)}`
    const wanted = `${demands.map(orList).join(', ')} ${check.how}${times}${loop}`
    const found: string[] = []
    for (const demand of demands) {
      const at = find(run, demand)
      if (at === null) {
        // None is needed where the case asks for none: a loop over no element.
        if (check.least === 0) continue
        const message = `${orList(demand)} was asked for and ${check.how === 'executed' ? 'never executed' : 'is not in the listing'}.`
        return failed(`no ${orList(demand)} ${check.how}`, wanted, message, endOf(run))
      }
      const wrong = notInLoop(check, run, demand, wanted)
      if (wrong !== null) return wrong
      found.push(`${orList(demand)} at ${showWord(at.address)}`)
    }
    return passed(found.join(', '), wanted, null, endOf(run))
  },
})
