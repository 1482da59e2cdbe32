import type { BoardProfile, Routine } from '../../board/index.ts'
import type { Addr } from '../../cpu/index.ts'
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

/** The first time the program came to any address of ROM; the moment of the instruction that went there. */
export function firstRomCall(run: CaseRun): Moment | null {
  const addresses: Addr[] = []
  for (const { kind, from, to } of run.profile.memory) {
    if (kind === 'rom') for (let address = from; address <= to; address++) addresses.push(address)
  }
  const stopped = run.runUntil(addresses)
  return stopped.end.kind === 'breakpoint' ? momentAt(run.recording(), Math.max(0, stopped.steps - 1)) : null
}
