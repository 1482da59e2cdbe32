import type { Addr, Byte } from '../../cpu/index.ts'
import { disassembleAt } from '../../disassembler/index.ts'
import { showWord } from '../../image/index.ts'
import type { Recording, RunRequest } from '../../run/index.ts'
import { registerFacts } from './facts.ts'
import type { FlowGraph } from './flow-graph.ts'
import type { History } from './history.ts'
import { Slicer } from './slicer.ts'
import { knownOf, namesOf, partsOf } from './why-value.ts'
import type { WhyNever, WhyPart, WhyTurn } from './why.ts'

/**
 * Why the instruction at `address` never ran: the branch nearest to it that was executed, could have led there and always
 * went the other way, with its flags the last time and the instruction that had set them.
 */
export function whyNever(recording: Recording, request: RunRequest, address: Addr): WhyNever {
  const { history, graph } = knownOf(recording, request)
  const ran = recording.find(-1, 'on', { kind: 'pc', address })
  // The end of a run may stand before an instruction that it did not execute any more.
  if (ran !== null && ran < recording.result.steps) {
    return { address, ranAt: ran, turn: null, sentence: `${showWord(address)} ran, for the first time in step ${ran}.` }
  }
  const path = nearestTurn(address, history, graph)
  if (path === null)
    return { address, ranAt: null, turn: null, sentence: whyNoTurn(address, recording, history, graph) }
  const turn = turnAt(path, recording, request, history, graph)
  const setBy = turn.setBy === null ? '' : `; ${turn.setBy.text} at ${showWord(turn.setBy.pc)} had made it so`
  const facts = turn.read.map(
    ({ what, value, bits }) => `${what} = ${bits === 1 ? value : value.toString(16).toUpperCase() + 'h'}`,
  )
  const times = turn.times === 1 ? 'once' : `${turn.times} times`
  const sentence = `${showWord(address)} never ran: ${turn.text} at ${showWord(turn.pc)} was executed ${times} and went to ${showWord(turn.went)} each time${facts.length > 0 ? `, the last time with ${facts.join(', ')}` : ''}${setBy}.`
  return { address, ranAt: null, turn, sentence }
}

interface Path {
  /** The branch, and the first address of the way from it that was not taken. */
  readonly from: Addr
  readonly other: Addr
}

/** From the address back along every way to it until a branch that was executed; the fewest instructions first. */
function nearestTurn(address: Addr, history: History, graph: FlowGraph): Path | null {
  const executed = executedIn(history)
  const before = new Map<Addr, Addr[]>()
  for (const each of graph.addresses) {
    for (const next of graph.successorsOf(each)) before.set(next, [...(before.get(next) ?? []), each])
  }
  const seen = new Set([address])
  let front: readonly Addr[] = [address]
  while (front.length > 0) {
    const paths = front.flatMap((other) =>
      (before.get(other) ?? []).filter((from) => executed.has(from)).map((from): Path => ({ from, other })),
    )
    const latest = paths.toSorted((a, b) => (executed.get(b.from) ?? 0) - (executed.get(a.from) ?? 0))[0]
    if (latest !== undefined) return latest
    const next = front.flatMap((other) => before.get(other) ?? []).filter((each) => !seen.has(each))
    for (const each of next) seen.add(each)
    front = [...new Set(next)]
  }
  return null
}

const known = new WeakMap<History, ReadonlyMap<Addr, number>>()

/** The last step of each address that was executed. */
function executedIn(history: History): ReadonlyMap<Addr, number> {
  const before = known.get(history)
  if (before !== undefined) return before
  const last = new Int32Array(0x10000).fill(-1)
  history.recording.walk(0, history.recording.result.steps, (step, _t, pc) => {
    last[pc] = step
  })
  const executed = new Map<Addr, number>()
  for (const [address, step] of last.entries()) if (step >= 0) executed.set(address, step)
  known.set(history, executed)
  return executed
}

function turnAt(path: Path, recording: Recording, request: RunRequest, history: History, graph: FlowGraph): WhyTurn {
  const step = executedIn(history).get(path.from) ?? 0
  const [at] = recording.steps(step, step + 1)
  const names = namesOf(request)
  const flow = history.flowAt(path.from)
  const parts = flow.jump?.when?.parts ?? 0
  const registers = at?.before ?? recording.result.registers
  let times = 0
  recording.walk(0, recording.result.steps, (_step, _t, pc) => {
    if (pc === path.from) times += 1
  })
  return {
    step,
    t: at?.t ?? 0,
    pc: path.from,
    text: disassembleAt((address) => history.memoryAtStart[address & 0xffff] ?? 0, path.from, names).text,
    times,
    read: registerFacts(parts, registers),
    flags: (registers.af & 0xff) as Byte,
    went: at?.after.pc ?? 0,
    other: path.other,
    setBy: parts === 0 ? null : makerOf(parts, step, history, graph, request),
  }
}

/** The nearest instruction that made what a condition looked at. */
function makerOf(parts: number, step: number, history: History, graph: FlowGraph, request: RunRequest): WhyPart | null {
  const { found } = new Slicer(history, graph, { step, parts }).run()
  const made = partsOf(found, namesOf(request), history).filter(({ role }) => role === 'made')
  return made.toSorted((a, b) => b.step - a.step)[0] ?? null
}

function whyNoTurn(address: Addr, recording: Recording, history: History, graph: FlowGraph): string {
  const isKnown = [...graph.addresses].includes(address)
  if (!isKnown) return `${showWord(address)} never ran: no instruction of the program leads there.`
  void history
  const { lastPc } = recording.result
  return `${showWord(address)} never ran: the run ended before, at ${showWord(lastPc)}.`
}
