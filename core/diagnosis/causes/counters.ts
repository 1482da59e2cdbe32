import type { UsedRegister } from '../../cpu/index.ts'
import { showWord } from '../../image/index.ts'
import type { Detector } from './detector.ts'
import type { DraftLine } from './draft.ts'
import type { Fact } from './facts.ts'
import { loopsOf, type Loop } from './loops-of.ts'
import { halfOf, pairOf } from './register-halves.ts'
import type { RunView } from './scene.ts'
import { atText, edited, seenAt, seenAtEnd } from './signs.ts'

const counterReloaded: Detector = {
  id: 'counter-reloaded',
  title: 'The counter is loaded anew in every round',
  looksAt: 'a loop that never ends and loads its own counter with a number in each round',
  *signs(scene) {
    for (const view of scene.views) {
      const { kind } = view.result.end
      if (kind !== 'budget-used-up' && kind !== 'proven-loop') continue
      for (const { start, end, counter } of loopsOf(scene)) {
        const load = scene.draft.lines
          .slice(start.index, end.index)
          .find(
            ({ mnemonic, plain }) =>
              mnemonic === 'LD' &&
              isPartOf(plain[0] ?? '', counter) &&
              /^[\w$']+$/.test(plain[1] ?? '') &&
              !/^[A-EHL]$|^I[XY]$/.test(plain[1] ?? ''),
          )
        if (load === undefined || !isLastWriter(view, load, end, counter)) continue
        const telling = {
          address: load.address,
          found: `${atText(load)} is executed in every round`,
          wanted: 'loaded once, before the loop',
          message: `${atText(load)} stands inside the loop that ends at ${showWord(end.address)}: ${counter} never gets down to 0, so the loop never ends. Load it before the loop.`,
        }
        const fact = view.firstAt(load.address)
        yield { ...telling, ...(fact === null ? seenAtEnd(view) : seenAt(view, fact)), weight: 0.97 }
        return
      }
    }
  },
}

/** Whether the load is what the branch finds in its counter, round after round. */
function isLastWriter(view: RunView, load: DraftLine, end: DraftLine, counter: string): boolean {
  let writer: number | null = null
  let count = 0
  for (const fact of view.facts) {
    const isCount = fact.text.startsWith('DEC') || fact.text.startsWith('DJNZ') || fact.text.startsWith('INC')
    if (isCount && fact.pc <= end.address && fact.pc > load.address && writer === load.address) count += 1
    const halves = [...fact.use.writes, ...(fact.kind === 'firmware' ? (fact.routine?.changes ?? []) : [])]
    if (halves.some((half) => counter.includes(half))) writer = fact.pc
  }
  return count > 1
}

function isPartOf(register: string, counter: string): boolean {
  return counter !== '' && (register === counter || pairOf[counter] === register || pairOf[register] === counter)
}

const counterNotReloaded: Detector = {
  id: 'counter-not-reloaded',
  title: 'The counter is not loaded again',
  looksAt: 'a loop entered a second time with the 0 that its first time has left in its counter',
  *signs(scene) {
    for (const view of scene.views) {
      for (const loop of loopsOf(scene)) {
        const entry = leftOverEntry(view, loop)
        if (entry === null) continue
        const { counter, start, end } = loop
        const load = scene.sites.find(({ form }) => form === `LD ${counter},n`)
        const telling = {
          address: end.address,
          found: `${counter} = 0 when the loop is entered again, so it runs 256 rounds`,
          wanted: `${counter} loaded again before each time`,
          message: `The loop that ends at ${showWord(end.address)} is entered again with ${counter} = 0, which its last run has left. It counts first and tests then, so that makes 256 rounds. Load the counter again before each time.`,
        }
        const count = load?.value ?? 1
        yield* edited(scene, [
          { ...telling, weight: 0.975, changes: { before: { [start.index]: `LD ${counter},${count}` } } },
        ])
        yield { ...telling, ...seenAt(view, entry), weight: 0.935 }
        return
      }
    }
  },
}

/** The first instruction of a loop reached from outside with 0 in its counter, last written by its own count. */
function leftOverEntry(view: RunView, { start, end, counter }: Loop): Fact | null {
  const half = counter as UsedRegister
  if (!/^[BCDEHL]$/.test(counter)) return null
  let writer: number | null = null
  let before: Fact | null = null
  for (const fact of view.facts) {
    const isInside = before !== null && before.pc >= start.address && before.pc <= end.address
    const isOwnCount = writer !== null && writer >= start.address && writer <= end.address
    if (fact.pc === start.address && fact.kind === 'own' && !isInside && isOwnCount && halfOf(fact.before, half) === 0)
      return fact
    if (fact.use.writes.has(half)) writer = fact.pc
    else if (fact.kind === 'firmware' && halfOf(fact.before, half) !== halfOf(fact.after, half)) writer = null
    if (fact.kind === 'own') before = fact
  }
  return null
}

/** Counters that are loaded too often, or not often enough. */
export const counters: readonly Detector[] = [counterReloaded, counterNotReloaded]
