import type { Addr, TState } from '../../cpu/index.ts'
import { partOfFlag, partsOfRegister } from './facts.ts'
import type { FlowGraph } from './flow-graph.ts'
import type { History } from './history.ts'
import type { Start } from './slice.ts'
import { busiest } from './time-spent.ts'
import { lastPortWrite } from './why-value.ts'
import type { WhyTarget } from './why.ts'

/** Bytes of the stack are written by every call; a byte that nothing wrote is not missed by one of them. */
const stackReach = 64

/** Where the slice for a question begins. */
export function startOf(target: WhyTarget, step: number, history: History, graph: FlowGraph): Start {
  const { recording } = history
  const t = recording.at(step).t
  const isAtEnd = step === recording.result.steps && step > 0
  const last = isAtEnd ? [{ step: step - 1, role: 'decided' as const }] : []
  switch (target.kind) {
    case 'register':
      return { step, parts: partsOfRegister(target.register), steps: last }
    case 'flag':
      return { step, parts: partOfFlag(target.flag), steps: last }
    case 'memory':
      if (history.isRom(target.address) || history.writes.lastBefore(target.address, t) >= 0) {
        return { step, bytes: [target.address], steps: last }
      }
      return missed(target.address, step, t, history, graph, last)
    case 'port-write': {
      const write = lastPortWrite(recording, target.port, t)
      if (write === null) return { step, steps: last, isMissed: true }
      return { step, steps: [{ step: recording.stepAt(write.t), role: 'made' }] }
    }
    case 'time':
      return { step, last: busiest(history, target.from, step), steps: last }
    case 'end':
      return { step, last: turnsOf(history, graph, step), steps: last }
  }
}

/** A byte that nothing wrote: what wrote nearest to it, what ended that, and where the run ended. */
function missed(
  address: Addr,
  step: number,
  t: TState,
  history: History,
  graph: FlowGraph,
  last: NonNullable<Start['steps']>,
): Start {
  const { recording, request, writes } = history
  const top = request.given.registers.sp ?? request.profile.layout.stackTop
  let nearest: { readonly address: Addr; readonly index: number } | null = null
  let latest: { readonly address: Addr; readonly index: number } | null = null
  for (const each of writes.lastWrites(t)) {
    const isStack = each.address >= top - stackReach && each.address < top
    if (isStack || history.isRom(writes.pcAt(each.index))) continue
    if (nearest === null || Math.abs(each.address - address) < Math.abs(nearest.address - address)) nearest = each
    if (latest === null || each.index > latest.index) latest = each
  }
  const near = [...new Set([nearest, latest])].flatMap((each) => (each === null ? [] : [each]))
  const deciders = near.flatMap(({ index }) => [...graph.decidersOf(writes.pcAt(index))])
  return {
    step,
    bytes: near.map((each) => each.address),
    last: deciders,
    steps: last,
    isMissed: true,
  }
}

/** How far back a run that does not end is looked at for the branches of its loop. */
const loopSteps = 20_000

/** The branches that were executed in the last steps of a run: those that keep it in a loop, or led it out. */
function turnsOf(history: History, graph: FlowGraph, step: number): readonly Addr[] {
  const { kind } = history.recording.result.end
  const isEndless = kind === 'budget-used-up' || kind === 'proven-loop' || kind === 'stopped'
  const seen = new Set<Addr>()
  for (let at = step - 1; at >= Math.max(0, step - (isEndless ? loopSteps : 1)); at--) seen.add(history.pcAt(at))
  const own = [...seen].filter((pc) => !history.isRom(pc))
  const branches = own.filter((pc) => graph.successorsOf(pc).length > 1)
  return branches.length > 0 || !isEndless ? branches : own.slice(0, 4)
}
