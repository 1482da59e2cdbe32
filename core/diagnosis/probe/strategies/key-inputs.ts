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

/** A key that no case presses, between the first two presses or in place of the last one. */
export function keyInputs(bases: readonly Stage[], profile: BoardProfile, made: Maker): readonly ProbingInput[] {
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
  return keysOf(profile)
    .filter((key) => !pressed.includes(key))
    .flatMap((key) => {
      const named = (what: string, words: string, presses: readonly Press[]): ExerciseCase => ({
        ...written,
        ...{ id: `key-${key.toLowerCase()}-${what}`, title: words, given: { ...given, keys: presses } },
      })
      const between = `key ${key} between the others`
      const instead = `key ${key} in place of the last one`
      const withOneMore = insert(keys, key)
      return [
        ...(withOneMore === null
          ? []
          : [made.input('keys', between, true, stage, named('between', between, withOneMore))]),
        made.input('keys', instead, false, stage, named('last', instead, replaceLast(keys, key))),
      ]
    })
}

function pressesOf({ request }: Stage, given: Given | null, { clockHz }: BoardProfile): readonly Press[] {
  if (given !== null && given.keys.length > 0) return given.keys
  const ms = (tStates: number) => ({ amount: Math.round((tStates * 1e3) / clockHz), unit: 'ms' as const })
  return request.given.keys.map(({ key, from, to, bounceTStates = 0 }) => ({
    ...{ key, at: ms(from), for: ms(to - from) },
    bounce: bounceTStates === 0 ? null : ms(bounceTStates),
  }))
}

const milliseconds = ({ amount, unit }: Press['at']): number | null =>
  unit === 'ms' ? amount : unit === 's' ? 1000 * amount : unit === 'us' ? amount / 1000 : null

/** The second press and all behind it come later by as much as lies between the first two. */
function insert(keys: readonly Press[], key: string): readonly Press[] | null {
  const [first, second] = keys
  if (first === undefined || second === undefined) return null
  const [from, to] = [milliseconds(first.at), milliseconds(second.at)]
  if (from === null || to === null) return null
  const moved = keys.slice(1).map((press) => {
    const at = milliseconds(press.at)
    return at === null ? press : { ...press, at: { amount: at + to - from, unit: 'ms' as const } }
  })
  return [first, { ...first, key, at: second.at }, ...moved]
}

function replaceLast(keys: readonly Press[], key: string): readonly Press[] {
  return keys.map((press, i) => (i === keys.length - 1 ? { ...press, key } : press))
}
