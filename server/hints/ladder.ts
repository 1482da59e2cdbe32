import { studentView, type Exercise } from '../../core/exercise/index.ts'
import type { Hint } from '../contract/index.ts'
import type { HintTakenRow } from '../store/hints.ts'

type Rung = Pick<Hint, 'number' | 'rung' | 'ask' | 'needs' | 'checks'> & { readonly say: string }

const order = ['point', 'concept', 'nearly'] as const

/** The hints of an exercise that a student may come to, in order; each names the one that has to be taken before it. */
export function ladderOf(exercise: Exercise): readonly Rung[] {
  const hints = studentView(exercise).hints
  return hints.map(({ rung, ask, checks, number }, i) => {
    // Rungs of one ladder are those that help with the same check.
    const before = hints.slice(0, i).findLast((each) => isLower(each.rung, rung) && haveCommon(each.checks, checks))
    const say = exercise.hints[number]?.say ?? ''
    return {
      number: number + 1,
      rung,
      ask,
      say,
      checks: [...checks],
      needs: before === undefined ? null : before.number + 1,
    }
  })
}

/** The ladder as somebody has climbed it: what was not taken is not told. */
export function toHints(ladder: readonly Rung[], taken: readonly HintTakenRow[]): Hint[] {
  return ladder.map((rung) => {
    const own = taken.find(({ number }) => number === rung.number)
    const isFree = rung.needs === null || taken.some(({ number }) => number === rung.needs)
    return {
      ...rung,
      say: own === undefined ? null : rung.say,
      answer: own?.answer ?? null,
      takenAt: own?.takenAt.toISOString() ?? null,
      needs: isFree ? null : rung.needs,
    }
  })
}

function isLower(one: Rung['rung'], other: Rung['rung']): boolean {
  return order.indexOf(one) < order.indexOf(other)
}

function haveCommon(one: readonly string[], other: readonly string[]): boolean {
  return one.length === 0 || other.length === 0 || one.some((each) => other.includes(each))
}
