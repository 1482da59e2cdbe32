import type { Addr } from '../../cpu/index.ts'
import type { History } from './history.ts'

/** So much of the time has to be accounted for, by so many instructions at most. */
const wantedShare = 0.9
const mostInstructions = 6

/**
 * The instructions that took most of the time between two steps, by address, longest first: enough of them for nine
 * tenths of it. Of those in a loop the branch that closes it is what asks for its count; of the firmware's the branches
 * of the loops around it too, whose count the program gave.
 */
export function busiest(history: History, from: number, to: number): readonly Addr[] {
  const spent = new Map<Addr, number>()
  let total = 0
  let before: { readonly pc: Addr; readonly t: number } | null = null
  history.recording.walk(from, to, (_step, t, pc) => {
    if (before !== null) {
      spent.set(before.pc, (spent.get(before.pc) ?? 0) + t - before.t)
      total += t - before.t
    }
    before = { pc, t }
  })
  const ranked = [...spent].toSorted((a, b) => b[1] - a[1] || a[0] - b[0])
  const chosen: Addr[] = []
  let sum = 0
  for (const [pc, tStates] of ranked) {
    if (sum >= wantedShare * total || chosen.length >= mostInstructions) break
    chosen.push(pc)
    sum += tStates
  }
  const around = [...spent.keys()].filter((pc) => chosen.some((each) => isLoopAround(pc, each, history)))
  return [...new Set([...chosen, ...around])]
}

/** Whether the instruction at `branch` is the firmware's and goes back over the one at `pc`, on a condition. */
function isLoopAround(branch: Addr, pc: Addr, history: History): boolean {
  if (branch < pc || !history.isRom(branch) || !history.isRom(pc)) return false
  const { jump } = history.flowAt(branch)
  return jump !== null && jump.when !== null && jump.isFixed && jump.to(history.before(branch)) <= pc
}
