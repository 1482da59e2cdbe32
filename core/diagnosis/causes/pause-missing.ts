import { floodOf, floodText } from '../../exercise/index.ts'
import { showRange, showWord } from '../../image/index.ts'
import type { Detector } from './detector.ts'
import { seenAtEnd } from './signs.ts'

/** A loop that writes to a port, or reads one, as fast as the CPU can. */
export const pauseMissing: Detector = {
  id: 'pause-missing',
  title: 'A loop without a pause',
  looksAt: 'a run that was stopped because it made more events than the exercise allows, and the loop that made them',
  *signs(scene) {
    const { main } = scene
    const { end, lastPc } = main.result
    const flood = floodOf(end)
    if (flood === null) return
    const loop = end.kind === 'budget-used-up' ? end.loop : null
    const range = loop === null ? `around ${showWord(lastPc)}` : `from ${showRange(loop.from, loop.to)}`
    const what = floodText(flood, scene.profile)
    const isMemory = flood.kind === 'memory-write'
    yield {
      ...seenAtEnd(main),
      weight: 1,
      found: what,
      wanted: isMemory ? 'a loop that ends' : 'a pause in the loop, or an end to it',
      message: isMemory
        ? `The loop ${range} writes on and on: ${what}. What should end it?`
        : `The loop ${range} has no pause: ${what}. Wait in it for as long as the task says, or end it.`,
    }
  },
}
