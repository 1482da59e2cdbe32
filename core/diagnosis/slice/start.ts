import type { Addr, TState } from '../../cpu/index.ts'
import { partOfFlag, partsOfRegister, stackPart } from './facts.ts'
import type { FlowGraph } from './flow-graph.ts'
import type { History } from './history.ts'
import type { Start } from './slice.ts'
import { busiest } from './time-spent.ts'
import { lastPortWrite } from './port-write.ts'
import type { WhyTarget } from './why.ts'

/** Bytes of the stack are written by every call; a byte that nothing wrote is not missed by one of them. */
const stackReach = 64

/** Writes to where no RAM is, told with a byte that was never written: one of them may have been meant for it. */
const mostIgnored = 3

/** What ended the run is told with a value that was asked for then, but last. */
const farAway = 6

/** Where the slice for a question begins. */
export function startOf(target: WhyTarget, step: number, history: History, graph: FlowGraph): Start {
  const { recording } = history
  const t = recording.at(step).t
  const isAtEnd = step === recording.result.steps && step > 0
  const last = isAtEnd ? [{ step: step - 1, role: 'decided' as const, depth: farAway }] : []
  switch (target.kind) {
    case 'register':
      return { step, parts: partsOfRegister(target.register), steps: last }
    case 'flag':
      return { step, parts: partOfFlag(target.flag), steps: last }
    case 'memory': {
      const asked = [target.address, ...(target.others ?? [])]
      const written = asked.filter((each) => history.isRom(each) || history.writes.lastBefore(each, t) >= 0)
      if (written.length > 0) return { step, bytes: asked, steps: last }
      return missed(target.address, step, t, history, graph, last)
    }
    case 'port-write': {
      const write = lastPortWrite(recording, target.port, t) ?? lastPortWrite(recording, null, t)
      if (write === null) return { step, last: busiest(history, 0, step), steps: last, isMissed: true }
      const isOther = target.port !== null && write.port !== target.port
      return { step, steps: [{ step: history.stepAt(write.t), role: 'made' }, ...last], isMissed: isOther }
    }
    case 'time':
      return { step, last: busiest(history, target.from, step), steps: last }
    case 'end':
      return isAtEnd ? endOf(step, history, graph) : { step, steps: [{ step: step - 1, role: 'decided' }] }
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
  const { request, writes } = history
  const top = request.given.registers.sp ?? request.profile.layout.stackTop
  const isRam = (at: Addr): boolean =>
    request.profile.memory.some(({ kind, from, to }) => kind === 'ram' && at >= from && at <= to)
  let nearest: { readonly address: Addr; readonly index: number } | null = null
  let latest: { readonly address: Addr; readonly index: number } | null = null
  const ignored: { readonly address: Addr; readonly index: number }[] = []
  for (const each of writes.lastWrites(t)) {
    if (!isRam(each.address)) {
      if (!history.isRom(writes.pcAt(each.index))) ignored.push(each)
      continue
    }
    const isStack = each.address >= top - stackReach && each.address < top
    if (isStack || history.isRom(writes.pcAt(each.index))) continue
    if (nearest === null || Math.abs(each.address - address) < Math.abs(nearest.address - address)) nearest = each
    if (latest === null || each.index > latest.index) latest = each
  }
  const near = [...new Set([...ignored.slice(0, mostIgnored), nearest, latest])].flatMap((each) =>
    each === null ? [] : [each],
  )
  const deciders = near.flatMap(({ index }) => [...graph.decidersOf(writes.pcAt(index))])
  // By their steps: one that wrote into ROM left nothing behind.
  const stores = near.map(({ index }) => ({ step: history.stepAt(writes.timeAt(index)), role: 'made' as const }))
  return { step, last: deciders, steps: [...stores, ...last], isMissed: true }
}

/** Bytes of the stack more than this at the end of a run were left there by mistake. */
const usualStack = 64

/** Of a run that went astray so many of the last instructions are looked at: had they been written over? */
const lastSteps = 8

/** Why a run ended as it did: its last instruction, the branches of its loop, and the stack where that was left awry. */
function endOf(step: number, history: History, graph: FlowGraph): Start {
  const { result } = history.recording
  const { request, writes } = history
  const isAstray = result.end.kind === 'left-program' || result.end.kind === 'stack-fault'
  const depth = (request.given.registers.sp ?? request.profile.layout.stackTop) - result.registers.sp
  const astray = Array.from({ length: Math.min(step, lastSteps) }, (_, back) => history.pcAt(step - 1 - back))
  const code = [...new Set(astray)]
    .flatMap((pc) => [0, 1, 2, 3].map((offset) => (pc + offset) & 0xffff))
    .filter((each) => writes.isWritten(each))
  return {
    step,
    last: turnsOf(history, graph, step),
    steps: [{ step: step - 1, role: isAstray ? 'made' : 'decided' }],
    bytes: isAstray ? [...new Set(code)] : [],
    parts: isAstray || depth > usualStack || depth < 0 ? stackPart : 0,
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
  const branches = own.filter((pc) => graph.isBranch(pc))
  return branches.length > 0 || !isEndless ? branches : own.slice(0, 4)
}
