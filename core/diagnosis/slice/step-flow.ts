import { interruptFlow, type Before, type DataFlow } from '../../cpu/index.ts'
import type { TraceStep } from '../../run/index.ts'
import { flowFrom, type History } from './history.ts'
import type { Found } from './slice.ts'

/** What a step did; null for waiting in HALT. */
export function flowOfStep(step: TraceStep): DataFlow | null {
  if (step.kind === 'halted') return null
  if (step.kind === 'interrupt') return interruptFlow()
  return flowFrom((address) => step.bytes[(address - step.pc) & 0xffff] ?? 0, step.pc)
}

export function beforeOf(step: TraceStep, history: History): Before {
  return { registers: step.before, bytes: step.bytes, read: (address) => history.byteBefore(address, step.t) }
}

export function afterOf(step: TraceStep): Found['after'] {
  return { registers: step.after, t: step.t + step.tStates }
}
