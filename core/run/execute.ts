import { countWork } from '../board/index.ts'
import type { Addr, TState } from '../cpu/index.ts'
import { LoopProof } from './loop-proof.ts'
import { loopRange } from './loop-range.ts'
import { eventFlood } from './event-flood.ts'
import type { Machine } from './machine.ts'
import { eventLimitOf, type RunEnd, type RunOptions, type RunRequest, type RunResult } from './request.ts'
import { registersAtStart, writeStart } from './start.ts'
import { StopMarks } from './stop-marks.ts'
import { UndefinedValues } from './undefined-values.ts'

/** What it takes to make a machine ready. */
const workOfStart = 10_000
/** T-states between two calls of `onProgress`. */
const progressEvery = 1_000_000
/** Puts a machine at the start of a run: memory, registers, keys, switches. */
export function prepare(machine: Machine, request: RunRequest): void {
  countWork(workOfStart)
  machine.powerOn({ byte: 0 })
  machine.setBreakpoints([])
  writeStart(machine.memory, request)
  machine.setRegisters(registersAtStart(request))
  machine.schedule(request.given)
  machine.cpu.takeDirtyPages()
}

/** What `execute` calls between two instructions, about every so many T-states. */
export interface Checkpoints {
  readonly every: TState
  readonly take: () => void
}

interface ExecuteOptions extends RunOptions {
  readonly checkpoints?: Checkpoints
  /** Follow the lowest SP though writes are not watched. */
  readonly isWatchingStack?: boolean
}

/** Runs a prepared machine to its end. The machine is spoiled then: to find the loop that it sat in, it runs on. */
export function execute(machine: Machine, request: RunRequest, options: ExecuteOptions = {}): RunResult {
  const { cpu, board } = machine
  const isWatchingStack = options.isWatchingStack === true || request.isWatchingWrites === true
  const marks = new StopMarks(machine, request)
  cpu.setStackWatch(isWatchingStack)
  const chance = options.isFollowingUndefined === true ? new UndefinedValues(machine, request) : null
  const proof = new LoopProof(machine, chance === null ? undefined : (address) => chance.endsAt(address))
  const end = runToEnd(machine, request, options, marks, proof, chance)
  board.catchUp(cpu.tStates)
  const registers = cpu.registers()
  const result = {
    tStates: cpu.tStates,
    steps: cpu.steps,
    lastPc: cpu.lastPc,
    registers,
    memory: machine.memory.slice(),
    events: machine.events,
    lowestSp: isWatchingStack ? Math.min(cpu.lowestSp, registers.sp) : null,
    ...(chance === null ? {} : { undefinedUse: chance.use() }),
  }
  const flood = end === null && machine.events.isFull ? eventFlood(machine.events) : null
  // To find the loop that it sat in, the machine runs on.
  if (end === null) chance?.giveUp(proof.address)
  cpu.setStackWatch(false)
  if (end !== null) return { end, ...result }
  const loop = loopRange(machine)
  if (flood !== null) return { end: { kind: 'budget-used-up', loop, events: flood }, ...result }
  if (proof.isProven && loop !== null) return { end: { kind: 'proven-loop', loop }, ...result }
  return { end: { kind: 'budget-used-up', loop }, ...result }
}

/** Null where the budget is used up or a loop is proven. */
function runToEnd(
  machine: Machine,
  request: RunRequest,
  { checkpoints, onProgress }: ExecuteOptions,
  marks: StopMarks,
  proof: LoopProof,
  chance: UndefinedValues | null,
): RunEnd | null {
  const { cpu } = machine
  machine.events.setLimit(eventLimitOf(request), () => cpu.requestStop())
  let nextCheckpoint = checkpoints?.every ?? Infinity
  let nextProgress = progressEvery
  for (;;) {
    const limit = Math.min(request.budget, nextCheckpoint, nextProgress, proof.nextTime)
    const stop = machine.advance(limit, true)
    if (stop === 'halted') return { kind: 'halted' }
    if (stop === 'requested') return endOnRequest(marks, cpu.registers().sp)
    const isChances = stop === 'stop-at' && chance?.isAt(cpu.instructionAddress) === true
    if (stop === 'stop-at' && !proof.isAt(cpu.instructionAddress)) {
      if (!isChances) return marks.reasonHere()
    } else {
      if (cpu.tStates >= request.budget) return null
      if (proof.look(stop) && !proof.hasOutput && request.isLoopRunOut !== true) return null
      shareMarks(chance, proof)
    }
    if (isChances) {
      const { steps } = cpu
      const isRequested = chance.look()?.isRequested === true
      if (cpu.steps !== steps) proof.hasPassed()
      if (isRequested) return endOnRequest(marks, cpu.registers().sp)
      shareMarks(chance, proof)
    }
    const t = cpu.tStates
    if (t >= nextCheckpoint) {
      checkpoints?.take()
      nextCheckpoint = cpu.tStates + (checkpoints?.every ?? Infinity)
    }
    if (t >= nextProgress) {
      if (onProgress?.(t) === false) return { kind: 'stopped' }
      nextProgress = t + progressEvery
    }
  }
}

/** A push to where no RAM is; null where there were too many events. */
function endOnRequest(marks: StopMarks, sp: Addr): RunEnd | null {
  return marks.isStackFault ? { kind: 'stack-fault', sp } : null
}

/** One mark on a byte serves two: neither passes over a round that the other has to see, nor takes off its mark. */
function shareMarks(chance: UndefinedValues | null, proof: LoopProof): void {
  if (chance === null) return
  const { address } = proof
  chance.shareMark(address)
  if (address === null) return
  proof.renewMark()
  if (chance.isAt(address)) proof.stopEveryRound()
}
