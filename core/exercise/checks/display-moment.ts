import type { TState } from '../../cpu/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'

/** The write to a port of the display at or just before `t`; the end of the run where there is none. */
export function displayWriteBefore(run: CaseRun, t: TState): Moment {
  const { segmentPort, selectPort } = run.profile.display
  const { events } = run.result
  for (let i = events.firstFrom(t + 1) - 1; i >= 0; i--) {
    const event = events.at(i)
    const isDisplay = event?.kind === 'port-write' && (event.port === segmentPort || event.port === selectPort)
    if (isDisplay) return { t: event.t, address: event.pc, step: null }
  }
  return endOf(run)
}
