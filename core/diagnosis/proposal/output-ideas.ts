import type { ModelBehaviour } from './model-behaviour.ts'
import type { Observed } from './observed.ts'
import { evenTime, timeText } from './lengths.ts'
import { perCase } from './per-case.ts'
import { onlyIf, type Idea, type Way } from './proposal.ts'

/** A sign that stands at least so long is meant to be read. */
const readable = 0.2

/** What the digits show. One idea where all runs show the same, else one for each case. */
export function displayIdeas(observed: Observed): readonly Idea[] {
  const shown = observed.runs.filter(({ signs }) => signs.length > 0)
  if (shown.length === 0) return []
  return perCase(
    shown,
    (run) => JSON.stringify(run.signs.map(({ text }) => text)),
    (run, cases, suffix) => displayIdea(run, observed, cases, suffix),
  )
}

function displayIdea(
  run: ModelBehaviour,
  { profile: { clockHz }, isCut }: Observed,
  cases: readonly string[] | null,
  suffix: string,
): Idea | null {
  const { display, isDarkAtEnd } = run
  // The last of several signs is cut short, and a right answer a little faster shows one more.
  const signs = isCut && run.signs.length > 1 ? run.signs.slice(0, -1) : run.signs
  if (signs.some(({ text }) => text.includes('?'))) return null
  const on: Way = cases === null ? {} : { cases }
  const dark: Way = isDarkAtEnd && !isCut ? { darkAtEnd: true } : {}
  const steady: Way = display?.refreshHz !== null && (display?.refreshHz ?? 0) >= 60 ? { minRefresh: 60 } : {}
  const clean: Way = (display?.ghost ?? 100) <= 1 ? { maxGhost: 1 } : {}
  const [only] = signs
  if (run.signs.length === 1 && only !== undefined) {
    const seconds = (only.to - only.from) / clockHz
    const time: Way = seconds >= readable && !isCut ? { for: timeText(seconds), forWithin: '5 %' } : {}
    const shared: Way = only.text.trim().length > 1 ? { credit: 'parts' } : {}
    const base: Way = { kind: 'digits-seen', ...shared, glyphs: only.text, ...on }
    return {
      ...{ id: `seen${suffix}`, group: 'function', weight: 2, title: `The digits show '${only.text.trim()}'` },
      reason: `That is what an eye sees of the model answer${seconds >= readable ? `, for ${timeText(seconds)}` : ''}.`,
      ways: [
        { ...base, ...time, ...steady, ...clean, ...dark },
        { ...base, ...time, ...dark },
        { ...base, ...dark },
        { ...base, state: 'any', ...dark },
        { ...base, state: 'any' },
      ],
    }
  }
  if (signs.length > 100) return null
  const each = evenTime(signs.map(({ from, to }) => (to - from) / clockHz))
  const rest: Way = isCut ? { rest: 'free' } : {}
  const base: Way = { kind: 'signs-in-turn', credit: 'parts', signs: signs.map(({ text }) => text), ...rest, ...on }
  const inTime: Way = each === null ? {} : { each: timeText(each), eachWithin: '3 %' }
  return {
    ...{ id: `signs${suffix}`, group: 'function', weight: 3, title: `${signs.length} signs one after the other` },
    reason: `The model answer shows ${signs.length} signs${each === null ? '' : `, each for ${timeText(each)}`}.`,
    ways: [
      { ...base, ...inTime, ...steady },
      { ...base, ...inTime },
      { ...base, ...inTime, steady: false },
      { ...base },
      { ...base, steady: false },
      { ...base, steady: false, rest: 'free' },
    ],
  }
}

/** Ports that nothing of the board's own hangs on; the lamps say what they show. */
export function portIdeas(observed: Observed): readonly Idea[] {
  const ports = new Set(observed.runs.flatMap((run) => [...run.ports.keys()]))
  ports.delete(observed.profile.lamps?.port ?? -1)
  return [...ports].flatMap((port) =>
    perCase(
      observed.runs,
      (run) => String(run.ports.get(port) ?? []),
      (run, cases, suffix) => {
        const values = run.ports.get(port) ?? []
        if (values.length === 0 || values.length > 256) return null
        const hex = port.toString(16).toUpperCase().padStart(2, '0')
        const text = values.map((value) => value.toString(16).toUpperCase().padStart(2, '0')).join(' ')
        return {
          ...{
            id: `port-${hex.toLowerCase()}${suffix}`,
            group: 'function',
            weight: 2,
            title: `What goes to port ${hex}h`,
          },
          reason: `The model answer writes ${values.length} values to it.`,
          ways: [
            {
              kind: 'ports',
              port,
              values: text,
              changes: true,
              ...(observed.isCut ? { match: 'first' } : {}),
              ...(cases === null ? {} : { cases }),
            },
          ],
        }
      },
    ),
  )
}

/** Interrupts accepted and lost, and what the handler leaves. */
export function interruptIdeas({ brief, runs }: Observed): readonly Idea[] {
  const counts = runs.map(({ interrupts }) => interrupts.accepted)
  const [accepted = 0] = counts
  if (accepted === 0) return []
  const lost = Math.max(...runs.map(({ interrupts }) => interrupts.lost))
  const isSame = counts.every((count) => count === accepted)
  return [
    {
      ...{ id: 'ticks', group: 'function', weight: 2, title: 'No interrupt is lost' },
      ...(/\blost\b|\blose\b/.test(brief)
        ? { reason: `The model answer accepts ${accepted} interrupts and loses ${lost}.` }
        : {
            reason: `The model answer accepts ${accepted} interrupts and loses ${lost}. ${onlyIf('counts them')}`,
            isChosen: false,
          }),
      ways: [
        ...(isSame
          ? [{ kind: 'interrupts', atLeast: Math.max(0, accepted - 2), atMost: accepted + 2, maxLost: lost }]
          : []),
        { kind: 'interrupts', maxLost: lost },
      ],
    },
    {
      ...{ id: 'handler', group: 'care', weight: 1, title: 'The handler brings back all registers' },
      reason: 'The model answer’s handler does, and lets interrupts in again.',
      ways: [{ kind: 'handler' }, { kind: 'handler', enables: false }],
    },
  ]
}
