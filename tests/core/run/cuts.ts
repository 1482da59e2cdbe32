import { benchEight, type BoardProfile } from '../../../core/board/index.ts'
import { execute, prepare } from '../../../core/run/execute.ts'
import { digestOfRun, Machine, type RunRequest, type RunResult } from '../../../core/run/index.ts'

/** T-states to the next cut. */
export type Cuts = () => number

export const cutsOf: Readonly<Record<string, () => Cuts>> = {
  'each T-state': () => () => 1,
  'every 97 T': () => () => 97,
  'every million T': () => () => 1_000_000,
  'at random': () => {
    let draw = 12345
    return () => {
      draw = (Math.imul(draw, 1_103_515_245) + 12_345) & 0x7fffffff
      return 1 + ((draw >>> 8) % ((draw & 3) === 0 ? 30_000 : 60))
    }
  },
}

export type Engine = 'WebAssembly' | 'TypeScript'
export const engines: readonly Engine[] = ['WebAssembly', 'TypeScript']

/** A machine on one of the two engines. */
export function machineOn(engine: Engine, profile: BoardProfile = benchEight): Machine {
  const host = globalThis as { WebAssembly?: unknown }
  const saved = host.WebAssembly
  if (engine === 'TypeScript') delete host.WebAssembly
  try {
    return new Machine(profile)
  } finally {
    host.WebAssembly = saved
  }
}

/** All that a run gave. */
export function outcomeOf(result: RunResult) {
  const { end, tStates, steps, lastPc, registers, lowestSp } = result
  return { end, tStates, steps, lastPc, registers, lowestSp, digest: digestOfRun(result), events: result.events.length }
}

/** A run as grading makes it, stopped and gone on with as `cuts` says. */
export function ranInPieces(request: RunRequest, cuts: Cuts, engine: Engine = 'WebAssembly') {
  const machine = machineOn(engine, request.profile)
  prepare(machine, request)
  const checkpoints = {
    get every() {
      return cuts()
    },
    take: () => undefined,
  }
  return outcomeOf(execute(machine, request, { checkpoints, isWatchingStack: true }))
}

/** All that a machine is at this moment, and what it has done. */
export function stateOf(machine: Machine) {
  return {
    cpu: machine.cpu.save(),
    board: machine.board.save(),
    memory: Buffer.from(machine.memory).toString('base64'),
    events: machine.events.toArray(),
  }
}

/** The machine of a run driven up to T-state `until`, saved and put back at each cut. */
export function drivenWithRestores(request: RunRequest, until: number, cuts: Cuts, engine: Engine = 'WebAssembly') {
  const machine = machineOn(engine, request.profile)
  prepare(machine, request)
  let stop = machine.advance(Math.min(until, cuts()), true)
  while (stop === 'limit' && machine.tStates < until) {
    machine.restoreState(machine.saveState())
    stop = machine.advance(Math.min(until, machine.tStates + cuts()), true)
  }
  return { stop, ...stateOf(machine) }
}
