import { eventCode, type BoardProfile } from '../../../board/index.ts'
import type { Program } from '../../../assembler/index.ts'
import type { Addr, TState } from '../../../cpu/index.ts'
import type { CheckResult } from '../../../grading/index.ts'
import type { Recording, RunRequest, RunResult } from '../../../run/index.ts'
import { lastPortWrite } from '../port-write.ts'
import type { WhyTarget } from '../why.ts'

/** A check that failed, the run that it was decided on, and when. */
export interface Asked {
  readonly fields: Readonly<Record<string, unknown>>
  readonly recording: Recording
  readonly request: RunRequest
  readonly profile: BoardProfile
  readonly program: Program
  readonly model: () => RunResult | null
  readonly outcome: CheckResult['outcome']
  /** The step after the one in which the check was decided. */
  readonly step: number
  readonly at: Addr
}

/** A question about the run that the check was decided on. */
export type Question = { readonly step: number; readonly target: WhyTarget } | { readonly never: Addr }
export type Answer = (asked: Asked) => readonly Question[]

/** Most values asked for that a single check finds wrong. */
export const mostValues = 4

export const theEnd: Answer = ({ recording }) => [{ step: recording.result.steps, target: { kind: 'end' } }]
export const theTime: Answer = ({ recording }) => [{ step: recording.result.steps, target: { kind: 'time', from: 0 } }]
/** Why the run came to the instruction at which the check was decided. */
export const theStep: Answer = ({ step }) => [{ step, target: { kind: 'end' } }]

/** What the decisive instruction did: wrote to memory or to a port; else why the run came there. */
export const anything: Answer = (asked) => {
  const { recording, step } = asked
  const [at] = recording.steps(step - 1, step)
  if (at === undefined) return theEnd(asked)
  const written = at.memoryWrites.map(({ address }) => ({ step, target: { kind: 'memory', address } as const }))
  const port = lastPortWrite(recording, null, at.t + at.tStates + 1)
  const isPort = port !== null && port.t >= at.t
  const wrote = isPort ? [{ step, target: { kind: 'port-write', port: port.port } as const }] : []
  return [...wrote, ...written, ...theStep(asked)]
}

export const port = (number: number): WhyTarget => ({ kind: 'port-write', port: number })

/** T-states of a time as a document has it; null where it has none. */
export function timeOf(written: unknown, clockHz: number): number | null {
  const { amount, unit } = (written ?? { amount: null, unit: 'T' }) as { amount: number | null; unit: string }
  if (amount === null) return null
  return amount * ({ T: 1, us: clockHz / 1e6, ms: clockHz / 1e3, s: clockHz }[unit] ?? 1)
}

/** When the cone moved. */
export function edgeTimes({ events }: Recording): readonly TState[] {
  const times: TState[] = []
  for (let i = 0; i < events.length; i++) if (events.codeAt(i) === eventCode.speakerEdge) times.push(events.timeAt(i))
  return times
}
