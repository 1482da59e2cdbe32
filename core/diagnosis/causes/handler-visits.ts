import type { Fact } from './facts.ts'
import type { RunView } from './scene.ts'

/** An interrupt that was accepted, and the instruction that returned from its handler. */
export interface HandlerVisit {
  readonly interrupt: Fact
  readonly last: Fact
}

/** The visits to a handler of the program itself that are seen whole. */
export function handlerVisits(view: RunView): readonly HandlerVisit[] {
  const visits: HandlerVisit[] = []
  let open: Fact | null = null
  for (const fact of view.facts) {
    if (fact.kind === 'interrupt') open = fact
    else if (open !== null && fact.after.sp === open.before.sp && /^RET/.test(fact.text)) {
      if (fact.after.pc === open.before.pc) visits.push({ interrupt: open, last: fact })
      open = null
    }
  }
  return visits
}
