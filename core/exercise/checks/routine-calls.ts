import { eventCode, type BoardProfile, type Routine } from '../../board/index.ts'
import type { Addr, TState } from '../../cpu/index.ts'
import type { Recording } from '../../run/index.ts'
import { momentAt, type CaseRun, type Moment } from '../case-run.ts'
import { nearestSpelling } from '../schema/index.ts'

/** A routine of the firmware by its name. */
export function routineNamed(profile: BoardProfile, name: string): Routine | undefined {
  return profile.firmware.routines.find((routine) => routine.name === name.toUpperCase())
}

/** Names that the board's firmware does not have, each as a sentence. */
export function unknownRoutines(profile: BoardProfile, names: readonly string[]): readonly string[] {
  const known = profile.firmware.routines.map((routine) => routine.name)
  return names
    .filter((name) => routineNamed(profile, name) === undefined)
    .map((name) => {
      const near = nearestSpelling(name, known)
      const hint = near === null ? '' : ` Did you mean '${near}'?`
      return `found routine '${name}', allowed ${known.join(', ')}.${hint}`
    })
}

function isRom(profile: BoardProfile, address: Addr): boolean {
  return profile.memory.some(({ kind, from, to }) => kind === 'rom' && address >= from && address <= to)
}

/** The first time the program itself, not the firmware, came to one of these addresses; the moment of the call. */
export function firstCall(run: CaseRun, addresses: readonly Addr[]): Moment | null {
  if (run.runUntil(addresses).end.kind !== 'breakpoint') return null
  const recording = run.recording()
  let first: Moment | null = null
  for (const address of addresses) {
    let from = -1
    // The firmware may come by its own routines very often; a program that calls one does so within its first 200 visits.
    for (let visit = 0; visit < 200; visit++) {
      const step = recording.find(from, 'on', { kind: 'pc', address })
      if (step === null) break
      from = step
      if (step === 0) continue
      const caller = momentAt(recording, step - 1)
      if (isRom(run.profile, caller.address)) continue
      if (first === null || caller.t < first.t) first = caller
      break
    }
  }
  return first
}

/** Most calls that are counted: more than the largest limit. */
const mostCalls = 200_000

/** Every time the program itself, not the firmware, came to an address: the instruction that went there. */
export function callsOf(run: CaseRun, address: Addr): readonly Moment[] {
  if (run.runUntil([address]).end.kind !== 'breakpoint') return []
  const recording = run.recording()
  const calls: Moment[] = []
  const interrupts = interruptTimes(recording)
  let caller: Moment | null = null
  // An interrupt accepted just before its first instruction comes back to it: that is the same call.
  let interruptedSp: Addr | null = null
  recording.walk(0, recording.result.steps, (step, t, pc, sp) => {
    if (pc === address) {
      const isBack = interruptedSp === sp
      const isOwn = caller !== null && !isRom(run.profile, caller.address)
      if (caller !== null && isOwn && !isBack && calls.length < mostCalls) calls.push(caller)
      interruptedSp = interrupts.has(t) ? sp : null
    }
    caller = { t, address: pc, step }
  })
  return calls
}

function interruptTimes({ events }: Recording): ReadonlySet<TState> {
  const times = new Set<TState>()
  for (let i = 0; i < events.length; i++) if (events.codeAt(i) === eventCode.interrupt) times.add(events.timeAt(i))
  return times
}

/**
 * The first time the program came to any address of ROM; the moment of the instruction that went there. A RET to nowhere
 * that ends there is a crash and no call.
 */
export function firstRomCall(run: CaseRun): Moment | null {
  const addresses: Addr[] = []
  for (const { kind, from, to } of run.profile.memory) {
    if (kind === 'rom') for (let address = from; address <= to; address++) addresses.push(address)
  }
  const stopped = run.runUntil(addresses)
  const { end, lastPc } = run.result
  if (end.kind === 'left-program' && end.from === lastPc && stopped.steps === run.result.steps) return null
  return stopped.end.kind === 'breakpoint' ? momentAt(run.recording(), Math.max(0, stopped.steps - 1)) : null
}
