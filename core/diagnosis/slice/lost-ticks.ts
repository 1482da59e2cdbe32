import { eventCode } from '../../board/index.ts'
import type { Addr } from '../../cpu/index.ts'
import { handlerVisits } from '../../exercise/index.ts'
import { handlerOf, type FlowGraph } from './flow-graph.ts'
import type { History } from './history.ts'
import { isStore } from './store-reach.ts'

/** Why no interrupt could come at a step. */
export type InterruptsOff =
  /** That instruction had turned them off; or it was the return of a handler that had not turned them on again. */
  | { readonly kind: 'step'; readonly step: number }
  /** The handler had begun at `from` and was not done yet. */
  | { readonly kind: 'handler'; readonly from: number }
  /** Nothing had turned them on since the start. */
  | { readonly kind: 'given' }

/** Ticks of the timer that no interrupt answered, and what had kept it from being accepted. */
export class LostTicks {
  readonly #history: History
  /** The steps in which they came, in rising order. */
  readonly steps: readonly number[]
  /** Instructions of the interrupt handler that write to memory: what is not done when a tick is lost. */
  readonly stores: readonly Addr[]

  constructor(history: History, graph: FlowGraph) {
    this.#history = history
    const { events } = history.recording
    const steps: number[] = []
    for (let i = 0; i < events.length; i++) {
      if (events.codeAt(i) === eventCode.interruptLost) steps.push(history.recording.stepAt(events.timeAt(i)))
    }
    this.steps = steps
    this.stores = steps.length === 0 ? [] : storesFrom(handlerOf(history), history, graph)
  }

  whyOff(step: number): InterruptsOff {
    const { recording, request } = this.#history
    const { t } = recording.at(step)
    const visit = handlerVisits(request, recording.result).findLast(({ from }) => from < t)
    const accepted = visit === undefined ? -1 : recording.stepAt(visit.from)
    const switched = this.#history.lastStepOf((pc) => /^(DI|EI|RETI|RETN)$/.test(this.#history.flowAt(pc).text), step)
    if (switched > accepted) return { kind: 'step', step: switched }
    if (visit === undefined) return { kind: 'given' }
    if (visit.to === null || visit.to > t) return { kind: 'handler', from: accepted }
    return { kind: 'step', step: recording.stepAt(visit.to - 1) }
  }
}

function storesFrom(entry: Addr | null, history: History, graph: FlowGraph): readonly Addr[] {
  const seen = new Set<Addr>()
  const waiting = entry === null ? [] : [entry]
  for (let pc = waiting.pop(); pc !== undefined; pc = waiting.pop()) {
    if (seen.has(pc) || history.isRom(pc)) continue
    seen.add(pc)
    waiting.push(...graph.successorsOf(pc))
  }
  return [...seen].filter((pc) => isStore(history.flowAt(pc)))
}
