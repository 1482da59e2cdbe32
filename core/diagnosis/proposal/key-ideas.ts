import { eventCode } from '../../board/index.ts'
import type { Addr, TState } from '../../cpu/index.ts'
import { namedIn } from './memory-ideas.ts'
import type { ModelBehaviour } from './model-behaviour.ts'
import type { Observed } from './observed.ts'
import { perCase } from './per-case.ts'
import { addressText, bytesText, type Idea, type Way } from './proposal.ts'

/** From one press of a key to the next, or to the end of the run. */
interface Window {
  readonly from: TState
  readonly to: TState
}

/** Presses that are asked about, and bytes looked at together, at most. */
const [mostKeys, mostBytes] = [200, 16]
/** A right answer may take half as long again, and this in seconds in any case. */
const [patience, leastTime] = [1.5, 0.05]

/** What the display shows and what memory holds after each press of a key. */
export function keyIdeas(observed: Observed): readonly Idea[] {
  const pressed = observed.runs.filter((run) => {
    const { length } = windowsOf(run)
    return length > 0 && length <= mostKeys
  })
  if (pressed.length === 0) return []
  const all = new Set(observed.runs.map(({ instance }) => instance.of.id))
  const ids = new Set(pressed.map(({ instance }) => instance.of.id))
  const on = (cases: readonly string[] | null): Way =>
    cases !== null ? { cases } : ids.size < all.size ? { cases: [...ids] } : {}
  const shown = perCase(
    pressed,
    (run) => JSON.stringify(signsAfter(run)),
    (run, cases, suffix) => shownIdea(run, observed, on(cases), suffix),
  )
  const held = namedBlocks(observed).flatMap((block, i) =>
    perCase(
      pressed,
      (run) => JSON.stringify(bytesAfter(run, block)),
      (run, cases, suffix) => heldIdea(run, observed, block, on(cases), `${i === 0 ? '' : `-${i + 1}`}${suffix}`),
    ),
  )
  return [...shown, ...held]
}

function windowsOf({ request, tStates }: ModelBehaviour): readonly Window[] {
  const keys = request.given.keys.toSorted((a, b) => a.from - b.from).filter(({ from }) => from < tStates)
  return keys.map(({ from }, i) => ({ from, to: Math.min(tStates, keys[i + 1]?.from ?? Infinity) }))
}

/** The sign that stands when the next key goes down, and how long after the press it came; null for a dark display. */
function signsAfter(run: ModelBehaviour): readonly { readonly text: string; readonly delay: TState }[] | null {
  const signs = windowsOf(run).map(({ from, to }) => {
    const sign = run.signs.findLast((each) => each.from < to && each.to >= to - 1)
    return sign === undefined ? null : { text: sign.text, delay: Math.max(0, sign.from - from) }
  })
  const lit = signs.filter((sign) => sign !== null)
  return lit.length === signs.length && lit.every(({ text }) => !/[?*]/.test(text)) ? lit : null
}

function shownIdea(run: ModelBehaviour, { profile }: Observed, on: Way, suffix: string): Idea | null {
  const signs = signsAfter(run)
  const before = run.signs.find(({ from }) => from < (windowsOf(run)[0]?.from ?? 0))
  // What no key changes hangs on none.
  if (signs === null || new Set([before?.text, ...signs.map(({ text }) => text)]).size < 2) return null
  const slowest = Math.max(...signs.map(({ delay }) => delay)) / profile.clockHz
  const base: Way = {
    ...{ kind: 'shown-after-key', signs: signs.map(({ text }) => text), within: limitText(slowest) },
    ...(signs.length > 1 ? { credit: 'parts' } : {}),
    ...on,
  }
  return {
    ...{ id: `after-key${suffix}`, group: 'function', weight: 2, title: 'The display after each key' },
    reason: `The model answer shows ${signs.length} ${signs.length === 1 ? 'sign' : 'signs'}, one after each key.`,
    ways: [base, { ...base, stays: false }],
  }
}

/** Stretches of memory that the task names and the model answer writes. */
function namedBlocks({ brief, runs }: Observed): readonly { readonly from: Addr; readonly to: Addr }[] {
  const named = namedIn(brief)
  const blocks: { from: Addr; to: Addr }[] = []
  for (const address of [...named].sort((a, b) => a - b)) {
    if (!runs.some(({ written }) => written.has(address))) continue
    const last = blocks.at(-1)
    if (last?.to === address - 1 && address - last.from < mostBytes) last.to = address
    else blocks.push({ from: address, to: address })
  }
  return blocks
}

/** What a stretch holds when the next key goes down, and how long after the press it was last written. */
function bytesAfter(
  run: ModelBehaviour,
  { from, to }: { readonly from: Addr; readonly to: Addr },
): readonly { readonly text: string; readonly delay: TState }[] {
  const held = run.before.memory.slice(from, to + 1)
  const { events } = run.recording
  let next = 0
  return windowsOf(run).map((window) => {
    let last = window.from
    for (; next < events.length && events.timeAt(next) < window.to; next++) {
      const at = events.whereAt(next)
      if (events.codeAt(next) !== eventCode.memoryWrite || at < from || at > to) continue
      held[at - from] = events.valueAt(next)
      last = Math.max(last, events.timeAt(next))
    }
    return { text: bytesText(held), delay: last - window.from }
  })
}

function heldIdea(
  run: ModelBehaviour,
  { profile, isCut }: Observed,
  block: { readonly from: Addr; readonly to: Addr },
  on: Way,
  suffix: string,
): Idea | null {
  // Another right answer may be done sooner after the last key: what it leaves is looked at when it ends.
  const count = windowsOf(run).length - (isCut ? 0 : 1)
  const held = bytesAfter(run, block).slice(0, count)
  if (new Set(held.map(({ text }) => text)).size < 2) return null
  const windows = windowsOf(run).slice(0, count)
  const shortest = Math.min(...windows.map(({ from, to }) => to - from)) / profile.clockHz
  const slowest = Math.max(...held.map(({ delay }) => delay)) / profile.clockHz
  // As late as may be: another may store when the key is let go.
  const after = Math.max(0.9 * shortest, (slowest + shortest) / 2)
  const where = addressText(block.from)
  return {
    ...{ id: `held-after-key${suffix}`, group: 'function', weight: 2, title: `What stands at ${where} after each key` },
    reason: `The model answer changes ${where} as keys are pressed.`,
    ways: [
      {
        ...{ kind: 'memory-after-key', credit: 'parts', at: where, bytes: held.map(({ text }) => text) },
        ...{ after: `${Math.round(after * 1000)} ms`, ...on },
      },
    ],
  }
}

/** How long a right answer may take that the model answer needs `slowest` for. */
function seconds(slowest: number): number {
  return Math.max(leastTime, patience * slowest)
}

function limitText(slowest: number): string {
  return `${Math.ceil(seconds(slowest) * 100) * 10} ms`
}
