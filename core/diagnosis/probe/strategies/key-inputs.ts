import type { BoardProfile } from '../../../board/index.ts'
import type { ExerciseCase, Given } from '../../../exercise/index.ts'
import { usualTime, type Stage } from '../../../trial/index.ts'
import { caseWith } from './inputs.ts'
import type { Maker, ProbingInput } from './probing-inputs.ts'

type Press = Given['keys'][number]

/** Names of all keys of a board, column by column. */
export function keysOf({ keypad }: BoardProfile): readonly string[] {
  return keypad.keys.flatMap((rows) => rows.filter((key) => key !== ''))
}

/** Names of the keys that some case presses. */
export function pressedKeys(stages: readonly Stage[]): readonly string[] {
  return [...new Set(stages.flatMap(({ request }) => request.given.keys.map(({ key }) => key)))]
}

/** Presses of the task in the case that has most of them. */
export function mostPresses(stages: readonly Stage[]): number {
  return Math.max(0, ...stages.map(({ request }) => request.given.keys.filter(({ isIdle }) => isIdle !== true).length))
}

/** What one idle key takes, and what they take together beside; in ms. */
const [idleKey, idleKeys] = [80, 300]

/**
 * Keys that no case presses: those that the model answer takes no notice of as idle keys, the others between the first two
 * presses or in place of the last one; a key of the task pressed more often than in any case; and one press fewer.
 * `isIgnored` tells whether the model answer does in an input what it does in the case that it was made from.
 */
export function keyInputs(
  bases: readonly Stage[],
  profile: BoardProfile,
  made: Maker,
  isIgnored: (input: ProbingInput) => boolean,
): readonly ProbingInput[] {
  const stage = bases
    .filter(({ request }) => request.given.keys.length > 0)
    .toSorted((a, b) => usualTime(a) - usualTime(b))[0]
  if (stage === undefined) return []
  const pressed = pressedKeys(bases)
  const written = caseWith(stage, [], 'keys', 'Keys')
  const { given } = written
  // Those of the exercise where the case has none of its own.
  const keys = pressesOf(stage, given, profile)
  if (given === null) return []
  const named = (id: string, words: string, held: Partial<Given>): ExerciseCase => ({
    ...written,
    ...{ id, title: words, given: { ...given, ...held } },
  })
  const input = (words: string, id: string, presses: readonly Press[] | null): readonly ProbingInput[] =>
    presses === null ? [] : [made.input('keys', words, false, stage, named(id, words, { keys: presses }))]
  const others = keysOf(profile).filter((key) => !pressed.includes(key))
  const idle = (ignored: readonly string[]): ProbingInput => {
    // In the gaps, and the presses later by as much as they need.
    const later = keys.map((press) => ({ ...press, at: delayed(press.at, idleKeys + idleKey * ignored.length) }))
    const words = ignored.length === 1 ? `key ${ignored.join()} pressed beside the others` : everyOther
    const run = named('idle-keys', 'Other keys do nothing', { keys: later, idleKeys: ignored })
    const isAll = ignored.length === others.length
    const shown = isAll ? named(run.id, run.title ?? words, { keys: later, idleKeys: 'others' }) : run
    return made.input('keys', words, true, stage, run, { shown, isIdle: true })
  }
  const ignored = given.idleKeys === null ? others.filter((key) => isIgnored(idle([key]))) : []
  const together = ignored.length === 0 ? [] : [idle(ignored)].filter(isIgnored)
  const alone = together.length > 0 ? [] : ignored.map((key) => idle([key]))
  return [
    ...together,
    ...alone,
    ...others.flatMap((key) => [
      ...(ignored.includes(key)
        ? []
        : input(`key ${key} between the others`, `key-${key.toLowerCase()}-between`, insert(keys, key))),
      ...input(`key ${key} in place of the last one`, `key-${key.toLowerCase()}-last`, replaceLast(keys, key)),
    ]),
    ...input('more keys pressed than in any case of yours', 'more-keys', morePresses(keys, mostPresses(bases))),
    ...input('the first key left out', 'fewer-keys', keys.length < 2 ? null : keys.slice(1)),
  ]
}

const everyOther = 'keys pressed that your task does not use'

/** Where so many keys are pressed in one run, one more tells nothing new. */
export const enoughKeys = 8

/** One press more than any case has. */
function morePresses(keys: readonly Press[], most: number): readonly Press[] | null {
  const [first] = keys
  if (first === undefined || most >= enoughKeys) return null
  let more: readonly Press[] | null = keys
  for (let i = keys.length; i <= most && more !== null; i++) more = insert(more, first.key)
  return more
}

function pressesOf({ request }: Stage, given: Given | null, { clockHz }: BoardProfile): readonly Press[] {
  if (given !== null && given.keys.length > 0) return given.keys
  const ms = (tStates: number) => ({ amount: Math.round((tStates * 1e3) / clockHz), unit: 'ms' as const })
  const own = request.given.keys.filter(({ isIdle }) => isIdle !== true)
  return own.map(({ key, from, to, bounceTStates = 0 }) => ({
    ...{ key, at: ms(from), for: ms(to - from) },
    bounce: bounceTStates === 0 ? null : ms(bounceTStates),
  }))
}

const milliseconds = ({ amount, unit }: Press['at']): number | null =>
  unit === 'ms' ? amount : unit === 's' ? 1000 * amount : unit === 'us' ? amount / 1000 : null

/** A time in T-states stays as it is. */
function delayed(time: Press['at'], by: number): Press['at'] {
  const at = milliseconds(time)
  return at === null ? time : { amount: at + by, unit: 'ms' as const }
}

/** The second press and all behind it come later by as much as lies between the first two; behind the only one, as long after it. */
function insert(keys: readonly Press[], key: string): readonly Press[] | null {
  const [first, second] = keys
  if (first === undefined) return null
  const from = milliseconds(first.at)
  if (second === undefined) {
    const held = milliseconds(first.for)
    if (from === null || held === null) return null
    return [first, { ...first, key, at: delayed(first.at, 2 * held + 200) }]
  }
  const to = milliseconds(second.at)
  if (from === null || to === null) return null
  const moved = keys.slice(1).map((press) => ({ ...press, at: delayed(press.at, to - from) }))
  return [first, { ...first, key, at: second.at }, ...moved]
}

function replaceLast(keys: readonly Press[], key: string): readonly Press[] {
  return keys.map((press, i) => (i === keys.length - 1 ? { ...press, key } : press))
}
