import type { BoardProfile } from '../board/index.ts'
import { execute, prepare } from './execute.ts'
import { Machine } from './machine.ts'
import type { RunOptions, RunRequest, RunResult } from './request.ts'

/** A machine for each board, kept from run to run: making one costs as much as a run of a million T-states. */
const spare = new WeakMap<BoardProfile, Machine>()

/**
 * Runs a program from power-on to its end: HALT or RET, a breakpoint, a fault, a proven loop, or the budget. A program
 * with a mistake is a result like any other.
 */
export function run(request: RunRequest, options: RunOptions = {}): RunResult {
  const machine = spare.get(request.profile) ?? new Machine(request.profile)
  // Taken out for the time being: `onProgress` may start a run of its own.
  spare.delete(request.profile)
  prepare(machine, request)
  const result = execute(machine, request, options)
  spare.set(request.profile, machine)
  return result
}
