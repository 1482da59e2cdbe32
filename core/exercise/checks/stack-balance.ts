import type { Addr } from '../../cpu/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import { flag, optional, whole } from '../schema/index.ts'
import { showCount, showWord } from '../../image/index.ts'
import { checkKind, failed, orOfCase, outOfTolerance, passed } from './check.ts'
import { startOfStack } from './memory.ts'
import { lastChangeOf } from './registers.ts'

/** The lowest address that the stack reached, and when. */
function deepest(run: CaseRun): { readonly lowest: Addr; readonly at: Moment } {
  const top = startOfStack(run)
  const base = run.request.ends === 'return' ? top - 2 : top
  const lowest = Math.min(base, run.result.lowestSp ?? base)
  for (const event of run.result.events) {
    if (event.kind === 'memory-write' && event.address === lowest) {
      return { lowest, at: { t: event.t, address: event.pc, step: null } }
    }
  }
  return { lowest, at: endOf(run) }
}

export const stackBalance = checkKind({
  name: 'stack-balance',
  category: 'care of the stack',
  about: 'SP ends where it began, and the stack does not grow deeper than allowed.',
  example: ['maxDepth: 16'],
  fields: {
    balanced: optional(flag, 'SP ends where it began.', true),
    maxDepth: optional(
      orOfCase(whole(0, 4096)),
      'Most bytes the program may have on the stack at once, calls it makes included, its own return address not.',
      null,
      'no limit',
    ),
  },
  needsEnd: true,
  isWatchingWrites: (check) => check.maxDepth !== null,
  describe: (check) =>
    [
      check.balanced ? 'SP ends where it began' : '',
      check.maxDepth === null ? '' : `at most ${showCount(check.maxDepth, 'byte')} on the stack`,
    ]
      .filter((part) => part !== '')
      .join(', '),
  evaluate(check, run) {
    const start = startOfStack(run)
    const { sp } = run.result.registers
    if (check.balanced && sp !== start) {
      const left = ((start - sp) << 16) >> 16
      const side = left > 0 ? `${showCount(left, 'byte')} too many on it` : `${showCount(-left, 'byte')} too few on it`
      const message = `SP ends at ${showWord(sp)} and began at ${showWord(start)}: the stack has ${side}.`
      return failed(`SP = ${showWord(sp)}`, `SP = ${showWord(start)}`, message, lastChangeOf(run, 'sp'))
    }
    if (check.maxDepth === null) return passed(`SP = ${showWord(sp)}`, `SP = ${showWord(start)}`, null, endOf(run))
    const base = run.request.ends === 'return' ? start - 2 : start
    const { lowest, at } = deepest(run)
    const depth = base - lowest
    const measured = `${showCount(depth, 'byte')} on the stack`
    const wanted = `at most ${showCount(check.maxDepth, 'byte')}`
    if (depth <= check.maxDepth) return passed(measured, wanted, null, endOf(run))
    return outOfTolerance(
      measured,
      wanted,
      null,
      `The stack was ${showCount(depth, 'byte')} deep; wanted ${wanted}.`,
      at,
    )
  },
})
