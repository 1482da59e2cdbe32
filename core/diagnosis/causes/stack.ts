import { showCount, showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { Fact } from './facts.ts'
import type { RunView, Scene } from './scene.ts'
import { atText, edited, idsOf, seenAt, seenAtEnd, type Edit } from './signs.ts'

const stackImbalance: Detector = {
  id: 'stack-imbalance',
  title: 'PUSH and POP do not match',
  looksAt:
    'RET that takes a pushed value, a stack that grows with each round, SP at the end, and a POP or PUSH that mends it',
  *signs(scene) {
    for (const view of scene.views) {
      const seen = grownByRounds(view) ?? returnToData(scene, view) ?? leftOver(scene, view)
      if (seen === null) continue
      yield* edited(scene, balancing(scene, seen))
      yield seen
      return
    }
  },
}

/** One POP more where a PUSH has none, one PUSH less, or the other way round. */
function balancing({ draft }: Scene, { found, wanted, message }: Sign): readonly Edit[] {
  const { lines } = draft
  const pushes = lines.filter(({ mnemonic }) => mnemonic === 'PUSH')
  const pops = lines.filter(({ mnemonic }) => mnemonic === 'POP')
  const telling = { weight: 0.98, found, wanted, message }
  const ends = lines.filter(({ mnemonic, operands }) => /^(RET|RETI|HALT)$/.test(mnemonic) && operands.length === 0)
  return [
    ...pushes.flatMap((push) => [
      ...ends.map((end): Edit => ({
        ...telling,
        address: push.address,
        changes: { inside: { [end.index]: `POP ${push.operands[0] ?? 'BC'}` } },
      })),
      { ...telling, address: push.address, changes: { instead: { [push.index]: '' } } },
    ]),
    ...pops.map((pop): Edit => ({ ...telling, address: pop.address, changes: { instead: { [pop.index]: '' } } })),
  ]
}

/** The same instruction with another SP each time round. */
function grownByRounds(view: RunView): Sign | null {
  const seen = new Map<number, { readonly sp: number; readonly count: number; readonly difference: number }>()
  for (const fact of view.own) {
    if (!fact.text.startsWith('PUSH') && !fact.text.startsWith('POP')) continue
    const before = seen.get(fact.pc)
    const difference = before === undefined ? 0 : fact.before.sp - before.sp
    const isSame = before !== undefined && difference !== 0 && before.difference === difference
    const count = isSame ? before.count + 1 : 1
    seen.set(fact.pc, { sp: fact.before.sp, count, difference })
    if (count < 3) continue
    const grows = difference < 0
    return {
      ...seenAt(view, fact),
      weight: 0.965,
      found: `SP ${grows ? 'goes down' : 'goes up'} by ${showCount(Math.abs(difference), 'byte')} each round`,
      wanted: 'the same SP in each round',
      message: `Each time round, ${fact.text} at ${showWord(fact.pc)} finds SP ${showCount(Math.abs(difference), 'byte')} ${grows ? 'lower' : 'higher'}: there is a ${grows ? 'PUSH without its POP' : 'POP without its PUSH'} in the loop.`,
    }
  }
  return null
}

/** RET whose address on the stack was put there by PUSH. */
function returnToData(scene: Scene, view: RunView): Sign | null {
  const { end } = view.result
  if (end.kind !== 'left-program' && end.kind !== 'stack-fault' && end.kind !== 'returned') return null
  const wantsReturn = scene.exercise.program.ends === 'return'
  const pushed = new Map<number, Fact>()
  const isReturn = (fact: Fact): boolean => /^RET/.test(fact.text) && fact.after.sp !== fact.before.sp
  for (const fact of view.own) {
    if (fact.text.startsWith('PUSH')) pushed.set(fact.after.sp, fact)
    else if (/^(CALL|RST)/.test(fact.text)) pushed.delete(fact.after.sp)
    // RET for HALT, with the stack as the program found it, is no matter of PUSH and POP.
    if (isReturn(fact) && !wantsReturn && fact.before.sp === view.registers.sp) return null
    const push = pushed.get(fact.before.sp)
    if (!isReturn(fact) || push === undefined) continue
    return {
      ...seenAt(view, fact),
      weight: 0.97,
      found: `RET takes ${showWord(fact.after.pc)}, which ${push.text} at ${showWord(push.pc)} put there`,
      wanted: 'the return address on top of the stack',
      message: `RET at ${showWord(fact.pc)} goes to ${showWord(fact.after.pc)}: that is no return address but what ${push.text} at ${showWord(push.pc)} put on the stack, and no POP has taken off.`,
    }
  }
  const last = view.own.at(-1)
  const depth = scene.draft.lines.filter(({ mnemonic }) => mnemonic === 'PUSH').length
  const pops = scene.draft.lines.filter(({ mnemonic }) => mnemonic === 'POP').length
  if (last === undefined || !isReturn(last) || depth === pops) return null
  return {
    ...seenAt(view, last),
    weight: 0.95,
    found: `RET takes ${showWord(last.after.pc)}`,
    wanted: 'the return address on top of the stack',
    message: `RET at ${showWord(last.pc)} goes to ${showWord(last.after.pc)}, which is no return address. There ${depth === 1 ? 'is one PUSH' : `are ${depth} PUSHes`} and ${pops === 1 ? 'one POP' : `${pops} POPs`}: each way through the program needs as many of one as of the other.`,
  }
}

/** SP at the end, where a check asked for it or a saved register did not come back. */
function leftOver(scene: Scene, view: RunView): Sign | null {
  const failed = scene.failedOf('stack-balance', 'registers-kept')
  const { registers, end } = view.result
  const wanted = view.registers.sp + (end.kind === 'returned' ? 2 : 0)
  if (failed.length === 0 || (end.kind !== 'halted' && end.kind !== 'returned') || registers.sp === wanted) return null
  const push = scene.draft.lines.find(({ mnemonic }) => mnemonic === (registers.sp < wanted ? 'PUSH' : 'POP'))
  const distance = showCount(Math.abs(wanted - registers.sp), 'byte')
  return {
    ...seenAtEnd(view),
    ...(push === undefined ? {} : { address: push.address }),
    weight: 0.96,
    checkIds: idsOf(failed),
    found: `SP = ${showWord(registers.sp)} at the end`,
    wanted: `SP = ${showWord(wanted)}`,
    message: `At the end SP is ${showWord(registers.sp)} and should be ${showWord(wanted)}: ${distance} ${registers.sp < wanted ? 'were pushed and not taken off' : 'too many were taken off'}${push === undefined ? '' : ` (${atText(push)})`}.`,
  }
}

const stackUnset: Detector = {
  id: 'stack-unset',
  title: 'SP points to no RAM',
  looksAt: 'a push to where no RAM is',
  *signs(scene) {
    for (const view of scene.views) {
      const { end } = view.result
      if (end.kind !== 'stack-fault') continue
      const isRam = scene.profile.memory.some(
        ({ kind, from, to }) => kind === 'ram' && end.sp >= from && end.sp <= to + 1,
      )
      if (isRam) continue
      const setter = view.own.findLast(({ text }) => /^LD SP/.test(text))
      yield {
        ...(setter === undefined ? seenAtEnd(view) : seenAt(view, setter)),
        weight: setter === undefined ? 0.6 : 0.95,
        found: `SP = ${showWord(end.sp)}, where no RAM is`,
        wanted: `SP at the top of RAM, ${showWord(scene.profile.layout.stackTop)}`,
        message: `SP is ${showWord(end.sp)}. There is no RAM, so what PUSH and CALL put there is lost. Set SP to the end of RAM before you use the stack.`,
      }
      return
    }
  },
}

const stackTooDeep: Detector = {
  id: 'stack-too-deep',
  title: 'The stack grows deeper than allowed',
  isConsequence: true,
  looksAt: 'a balanced stack whose deepest point is over the limit of the task',
  *signs(scene) {
    const failed = scene.failedOf('stack-balance')
    const [first] = failed
    if (first === undefined) return
    const view = scene.view(first.result.decidedAt?.caseId ?? scene.mainCase)
    const { registers, end, lowestSp } = view.result
    // HALT inside a routine leaves its return address where it is.
    if (scene.exercise.program.ends === 'return' && end.kind !== 'returned') return
    const top = view.registers.sp + (end.kind === 'returned' ? 2 : 0)
    if (registers.sp !== top || lowestSp === null) return
    const pushes = scene.draft.lines.filter(({ mnemonic }) => mnemonic === 'PUSH')
    yield {
      ...seenAtEnd(view),
      ...(pushes[0] === undefined ? {} : { address: pushes[0].address }),
      weight: scene.isFunctionWrong ? 0.6 : 0.9,
      checkIds: idsOf(failed),
      found: first.result.measured ?? `${view.registers.sp - lowestSp} bytes deep`,
      wanted: first.result.wanted ?? 'less',
      message: `The stack is balanced at the end, but on the way it went down to ${showWord(lowestSp)}. Fewer values may stand on it at the same time.`,
    }
  },
}

export const stack: readonly Detector[] = [stackImbalance, stackUnset, stackTooDeep]
