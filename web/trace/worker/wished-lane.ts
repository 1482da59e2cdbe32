import { wordDigits } from '../../../core/image/index.ts'
import type { Lane } from '../model/lane.ts'
import { type LaneWish, partNamed, partOf, wishId, wishTitle } from '../model/lane-wish.ts'
import { type Runs, RunsBuilder } from '../model/runs.ts'
import type { Recording, TraceStep } from '../../../core/run/index.ts'
import type { Opened } from './opened.ts'
import { portLane } from './port-lanes.ts'

/** The lane that was asked for, over the whole run. */
export function wishedLane(opened: Opened, wish: LaneWish): Lane {
  const end = opened.recording.result.tStates
  switch (wish.kind) {
    case 'register': {
      const part = partNamed(wish.name)
      if (part === null) throw new Error(`there is no register ${wish.name}`)
      const { registers } = opened.recording.at(0)
      const first = partOf(part, Number(registers[part.register]))
      return valueLane(
        wish,
        part.digits,
        changes(opened.recording, first, ({ after }, append) => append(partOf(part, Number(after[part.register])))),
      )
    }
    case 'memory': {
      const first = opened.recording.at(0).memory[wish.address] ?? 0
      const runs = changes(opened.recording, first, ({ memoryWrites }, append) => {
        for (const { address, value } of memoryWrites) if (address === wish.address) append(value)
      })
      return { ...valueLane(wish, 2, runs), title: titleAt(opened, wish.address) }
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

const stepsAtOnce = 10_000

/** A value from the start of the run on; it holds from the end of the step that made it. */
function changes(
  recording: Recording,
  first: number,
  look: (step: TraceStep, append: (value: number) => void) => void,
): Runs {
  const { steps, tStates } = recording.result
  const builder = new RunsBuilder()
  builder.append(0, first)
  for (let from = 0; from < steps; from += stepsAtOnce) {
    for (const step of recording.steps(from, from + stepsAtOnce))
      look(step, (value) => builder.append(step.t + step.tStates, value))
  }
  return builder.finish(tStates)
}
