import type { Fact } from './facts.ts'
import type { RunView, Scene } from './scene.ts'

/** The first instruction of an interrupt handler, and the one that returned from it. */
export interface HandlerVisit {
  readonly first: Fact
  readonly last: Fact
}

/**
 * The visits to the handler that the hook leads to, those that are seen whole. The firmware comes to it with every register
 * as the interrupt found it, and with the return address on the stack.
 */
export function handlerVisits({ profile }: Scene, view: RunView): readonly HandlerVisit[] {
  const { interruptHook } = profile.layout
  const { memory } = view.result
  if (interruptHook === null) return []
  const target = (memory[interruptHook] ?? 0) | ((memory[(interruptHook + 1) & 0xffff] ?? 0) << 8)
  const visits: HandlerVisit[] = []
  let first: Fact | null = null
  for (const fact of view.facts) {
    if (fact.kind === 'own' && fact.pc === target) first = fact
    const isBack = first !== null && /^RET/.test(fact.text) && fact.after.sp === ((first.before.sp + 2) & 0xffff)
    if (first === null || !isBack) continue
    visits.push({ first, last: fact })
    first = null
  }
  return visits
}
