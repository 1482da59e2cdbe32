import type { BoardProfile, KeyPress } from '../board/index.ts'
import type { TState } from '../cpu/index.ts'
import type { Given } from './case.ts'
import type { Exercise } from './exercise.ts'

/** In ms: how long an idle key is held, and what has to lie between it and what comes before and after. */
const held = 40
const pause = 40
/** After a press of the task: what is to be shown or stored after it is looked at first. */
const afterPress = 70

/** A press that the task asks for, T-states from the start of the run. */
export type TaskPress = KeyPress & { readonly bounceTStates: TState }

/** Every key of the board that no case of the exercise presses. */
function otherKeys({ given, cases }: Pick<Exercise, 'given' | 'cases'>, profile: BoardProfile): readonly string[] {
  const named = [given, ...cases.map((each) => each.given)].flatMap((each) => each?.keys.map(({ key }) => key) ?? [])
  return profile.keypad.keys.flat().filter((key) => key !== '' && !named.includes(key))
}

/** Presses of idle keys, and those keys for which there was no room. */
export interface IdlePresses {
  readonly presses: readonly KeyPress[]
  readonly left: readonly string[]
}

/**
 * Presses of keys that must change nothing, put into the gaps between the presses of the task, and before the first one;
 * behind the last one only where the task presses none. As many as there is room for, in the order of the keypad.
 */
export function idlePresses(
  exercise: Pick<Exercise, 'given' | 'cases'>,
  idle: Given['idleKeys'],
  keys: readonly TaskPress[],
  profile: BoardProfile,
  budget: TState,
): IdlePresses {
  if (idle === null) return { presses: [], left: [] }
  const ms = (time: number): TState => Math.round((time * profile.clockHz) / 1000)
  const names = idle === 'others' ? otherKeys(exercise, profile) : idle
  const presses: KeyPress[] = []
  const sorted = keys.toSorted((a, b) => a.from - b.from)
  const gaps = sorted.map(({ from }, i) => {
    const before = sorted.slice(0, i).reduce((last, each) => Math.max(last, each.to + each.bounceTStates), 0)
    return { from: before + ms(i === 0 ? pause : afterPress), to: from }
  })
  if (sorted.length === 0) gaps.push({ from: ms(pause), to: budget })
  let next = 0
  for (const { from, to } of gaps) {
    for (let at = from; next < names.length && at + ms(held + pause) <= to; at += ms(held + pause)) {
      presses.push({ key: names[next] ?? '', from: at, to: at + ms(held), bounceTStates: 0, isIdle: true })
      next += 1
    }
  }
  return { presses, left: names.slice(next) }
}

/** How long a gap between two presses of the task has to be for an idle key, in ms. */
export const roomForIdleKey = afterPress + held + pause
