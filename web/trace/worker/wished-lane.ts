import { wordDigits } from '../../../core/image/index.ts'
import type { Lane } from '../model/lane.ts'
import { type LaneWish, partNamed, wishId, wishTitle } from '../model/lane-wish.ts'
import { type Runs, RunsBuilder } from '../model/runs.ts'
import type { History, RegisterName } from '../../../core/run/index.ts'
import type { Opened } from './opened.ts'
import { portLane } from './port-lanes.ts'

/** The lane that was asked for, over the whole run. */
export function wishedLane(opened: Opened, wish: LaneWish): Lane {
  const { questions, result } = opened.recording
  const end = result.tStates
  switch (wish.kind) {
    case 'register': {
      const part = partNamed(wish.name)
      if (part === null) throw new Error(`there is no register ${wish.name}`)
      const history = questions.history({ kind: 'register', register: part.name.toLowerCase() as RegisterName })
      return valueLane(wish, part.digits, runsOf(history, end))
    }
    case 'memory': {
      const history = questions.history({ kind: 'memory', address: wish.address })
      return { ...valueLane(wish, 2, runsOf(history, end)), title: titleAt(opened, wish.address) }
    }
    default:
      return portLane(opened.recording.events, wish.kind, wish.port, end)
  }
}

function valueLane(wish: LaneWish, digits: 2 | 4, runs: Runs): Lane {
  return { kind: 'value', id: wishId(wish), title: wishTitle(wish), runs, digits }
}

/** A byte that has a name goes by it. */
function titleAt({ program }: Opened, address: number): string {
  const label = program.listing.find((line) => line.address === address && line.label !== null)?.label
  return label ?? `Byte ${wordDigits(address)}`
}

function runsOf({ times, values }: History, end: number): Runs {
  const builder = new RunsBuilder()
  times.forEach((t, i) => builder.append(t, values[i] ?? 0))
  return builder.finish(end)
}
