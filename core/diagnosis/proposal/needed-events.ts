import { mostEvents } from '../../exercise/index.ts'
import { defaultEventLimit, eventLimitOf, run } from '../../run/index.ts'
import type { ModelBehaviour } from './model-behaviour.ts'

/** A run that makes less than this part of its events is far from the limit, whatever its checks watch. */
const part = 0.4
/** Room for answers that do more than the model answer. */
const room = 1.25
/** Limits are round numbers. */
const step = 100_000

/** The limit of events that the exercise needs for its model answer and others like it; null where the usual one will do. */
export function neededEvents(runs: readonly ModelBehaviour[]): number | null {
  const shares = runs.map(({ recording, request }) => {
    const limit = eventLimitOf(request)
    if (recording.result.events.weight < part * limit) return 0
    // Checks may watch memory: each write is an event then.
    const { events } = run({ ...request, eventLimit: mostEvents, isWatchingWrites: true })
    return events.weight / limit
  })
  const needed = room * Math.max(0, ...shares)
  return needed <= 1 ? null : Math.min(mostEvents, Math.ceil((needed * defaultEventLimit) / step) * step)
}
