import { eventCode } from '../board/index.ts'
import { attribute, type Addr, type Registers, type TState } from '../cpu/index.ts'
import { Machine, memoryAtStart, registersAtStart, type RunRequest, type RunResult } from '../run/index.ts'

/** One interrupt from its acceptance to the return to where it came. */
export interface HandlerVisit {
  /** T-state at which the acceptance begins: the end of the instruction that was interrupted. */
  readonly from: TState
  /** The end of the instruction that returned; null where the run ended before. */
  readonly to: TState | null
  /** Address that it returns to. */
  readonly address: Addr
  /** Address of the instruction that returned; `address` where none did. */
  readonly lastPc: Addr
  readonly before: Registers
  /** At the return, or at the end of the run. */
  readonly after: Registers
}

const known = new WeakMap<RunResult, readonly HandlerVisit[]>()

/** Longer than any instruction with its prefixes that programs use; only a place to begin looking from. */
const lookBack = 64

/**
 * Every interrupt that a run accepted, in order; one accepted inside another's handler belongs to that one. Found by
 * running the request once more. Worked out once for each result.
 */
export function handlerVisits(request: RunRequest, result: RunResult): readonly HandlerVisit[] {
  const before = known.get(result)
  if (before !== undefined) return before
  const visits = acceptedIn(result).length === 0 ? [] : visitsOf(request, result)
  known.set(result, visits)
  return visits
}

function acceptedIn({ events }: RunResult): readonly TState[] {
  const times: TState[] = []
  for (let i = 0; i < events.length; i++) if (events.codeAt(i) === eventCode.interrupt) times.push(events.timeAt(i))
  return times
}

function visitsOf(request: RunRequest, result: RunResult): readonly HandlerVisit[] {
  const machine = machineAtStart(request)
  const { cpu } = machine
  const visits: HandlerVisit[] = []
  for (const accepted of acceptedIn(result)) {
    if (cpu.tStates > accepted) continue
    machine.advance(accepted - lookBack, false)
    let from = cpu.tStates
    let before = cpu.registers()
    while (cpu.tStates <= accepted) {
      from = cpu.tStates
      before = cpu.registers()
      machine.step()
    }
    visits.push({
      from,
      before,
      ...returnTo(machine, wordAt(machine.memory, cpu.registers().sp), before.sp, result.tStates),
    })
  }
  return visits
}

/** Runs on until the machine stands at an address with SP where it was, or to the end of the run. */
function returnTo(
  machine: Machine,
  address: Addr,
  sp: Addr,
  end: TState,
): Pick<HandlerVisit, 'to' | 'address' | 'lastPc' | 'after'> {
  const { cpu } = machine
  const mark = cpu.attributes[address] ?? 0
  cpu.attributes[address] = mark | attribute.stopAt
  try {
    for (;;) {
      const stop = machine.advance(end, false)
      const after = cpu.registers()
      if (stop !== 'stop-at') return { to: null, address, lastPc: address, after }
      if (after.sp === sp) return { to: cpu.tStates, address, lastPc: cpu.lastPc, after }
      machine.step()
    }
  } finally {
    cpu.attributes[address] = mark
  }
}

function wordAt(memory: Uint8Array, at: Addr): number {
  return (memory[at] ?? 0) | ((memory[(at + 1) & 0xffff] ?? 0) << 8)
}

/** A machine at the start of a run. */
function machineAtStart(request: RunRequest): Machine {
  const machine = new Machine(request.profile)
  machine.board.log = null
  machine.memory.set(memoryAtStart(request))
  machine.setRegisters(registersAtStart(request))
  machine.schedule(request.given)
  return machine
}
