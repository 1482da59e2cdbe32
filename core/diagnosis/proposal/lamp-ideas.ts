import { eventCode, type BoardProfile } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import { evenTime, timeText } from './lengths.ts'
import type { ModelBehaviour } from './model-behaviour.ts'
import type { Observed } from './observed.ts'
import { perCase } from './per-case.ts'
import type { Idea, Way } from './proposal.ts'

/** A pattern that stood on the lamps: `..*.....`, left to right. */
interface Pattern {
  readonly text: string
  readonly from: TState
  readonly to: TState
}

/** What stands for less, in seconds, is not seen: the check's own default. */
const shortest = 0.001
/** Most patterns that a check can hold. */
const most = 200

/** What the lamps show in turn, and for how long where all stand equally long. */
export function lampIdeas(observed: Observed): readonly Idea[] {
  const { profile, runs, isCut } = observed
  const shown = new Map(runs.map((run) => [run, patternsOf(run, profile)] as const))
  if (![...shown.values()].some((patterns) => patterns.some(({ text }) => text.includes('*')))) return []
  return perCase(
    runs,
    (run) => JSON.stringify((shown.get(run) ?? []).map(({ text }) => text)),
    (run, cases, suffix) => {
      const all = shown.get(run) ?? []
      const patterns = isCut && all.length > 1 ? all.slice(0, -1) : all
      if (patterns.length === 0 || patterns.length > most) return null
      const each = evenTime(all.map(({ from, to }) => (to - from) / profile.clockHz))
      const time: Way = each === null ? {} : { each: timeText(each), eachWithin: '2 %' }
      const base: Way = {
        ...{ kind: 'lamps', ...(patterns.length > 1 ? { credit: 'parts' } : {}) },
        ...{ patterns: patterns.map(({ text }) => text) },
        ...(isCut ? { rest: 'free' } : {}),
        ...(cases === null ? {} : { cases }),
      }
      const lasts = each === null ? '' : `, each for ${timeText(each)}`
      return {
        ...{ id: `lamps${suffix}`, group: 'function', weight: 3, title: 'What the lamps show' },
        reason: `The model answer shows ${patterns.length} ${patterns.length === 1 ? 'pattern' : 'patterns'}${lasts}.`,
        ways: [{ ...base, ...time }, base],
      }
    },
  )
}

function patternsOf({ recording }: ModelBehaviour, { lamps, clockHz }: BoardProfile): readonly Pattern[] {
  if (lamps === null) return []
  const { events, result } = recording
  const textOf = (value: number): string => lamps.bits.map((bit) => (((value >> bit) & 1) === 1 ? '*' : '.')).join('')
  const changes = [{ t: 0, text: textOf(0) }]
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) !== eventCode.portWrite || events.whereAt(i) !== lamps.port) continue
    const text = textOf(events.valueAt(i))
    if (changes.at(-1)?.text !== text) changes.push({ t: events.timeAt(i), text })
  }
  const patterns = changes.map(({ t, text }, i) => ({ text, from: t, to: changes[i + 1]?.t ?? result.tStates }))
  const long = patterns.filter(({ from, to }, i) => to - from >= shortest * clockHz || i === patterns.length - 1)
  // Dark lamps before the first pattern are the board's, not the program's.
  return long.filter(({ text }, i) => i > 0 || text.includes('*'))
}
