import type { BoardProfile, KeyPress, SwitchMove } from '../board/index.ts'
import type { Byte, TState } from '../cpu/index.ts'
import type { Given } from './case.ts'
import type { CaseInstance } from './cases.ts'
import type { Exercise } from './exercise.ts'

/** In ms: how long an idle key is held or an idle switch stands otherwise, and what has to lie between it and what comes before and after. */
const held = 40
const pause = 40
/** After an input of the task: what is to be shown or stored after it is looked at first. */
const afterInput = 70

/** How long a gap between two inputs of the task has to be for an idle key, in ms. */
export const roomForIdleKey = afterInput + held + pause

/** The inputs that the task asks for, T-states from the start of the run. */
export interface TaskInputs {
  readonly keys: readonly (KeyPress & { readonly bounceTStates: TState })[]
  /** Of the task's switches at the start. */
  readonly switches: Byte
  readonly moves: readonly SwitchMove[]
}

/** The same with those that must change nothing, and the idle keys for which there was no room. */
export interface AllInputs {
  readonly keys: readonly KeyPress[]
  readonly switches: Byte
  readonly switchMoves: readonly SwitchMove[]
  readonly left: readonly string[]
}

type Cases = Pick<Exercise, 'given' | 'cases'>

/** The keys that `idleKeys` means: with `others` every key of the board that no case of the exercise presses. */
export function idleKeysOf(exercise: Cases, idle: Given['idleKeys'], { keypad }: BoardProfile): readonly string[] {
  if (idle !== 'others') return idle ?? []
  const named = allGiven(exercise).flatMap(({ keys }) => keys.map(({ key }) => key))
  return keypad.keys.flat().filter((key) => key !== '' && !named.includes(key))
}

/** The switches that `idleSwitches` means, by their bits: with `others` all that are off in every case of the exercise. */
export function idleSwitchesOf(
  exercise: Cases,
  idle: Given['idleSwitches'],
  { switches }: BoardProfile,
): readonly number[] {
  if (idle !== 'others') return idle ?? []
  const used = switchesUsed(exercise)
  return (switches?.bits ?? []).filter((bit) => ((used >> bit) & 1) === 0)
}

/** Every switch that is on at some time in some case. */
function switchesUsed(exercise: Cases): Byte {
  return allGiven(exercise).reduce((mask, given) => mask | switchesOn(given), 0)
}

/** Every switch that is on at some time. */
export function switchesOn({ switches, switchMoves }: Pick<Given, 'switches' | 'switchMoves'>): Byte {
  return switchMoves.reduce((mask, { to }) => mask | to, switches ?? 0)
}

function allGiven({ given, cases }: Cases): readonly Given[] {
  return [given, ...cases.map((each) => each.given)].flatMap((each) => each ?? [])
}

/**
 * Idle keys are pressed, and idle switches moved and moved back, in the gaps between the inputs of the task, and before the
 * first one; behind the last one only where the task has none. As many as there is room for: keys in the order of the
 * keypad, then switches. At the start some of the idle switches are on, in the next run the others (`place`), so that a
 * program that looks once is found out too.
 */
export function withIdleInputs(
  task: TaskInputs,
  idle: { readonly keys: readonly string[]; readonly switches: readonly number[] },
  place: number,
  { clockHz }: BoardProfile,
  budget: TState,
): AllInputs {
  if (idle.keys.length + idle.switches.length === 0) return { ...task, switchMoves: task.moves, left: [] }
  const ms = (time: number): TState => Math.round((time * clockHz) / 1000)
  const slots = slotsBetween(task, ms, budget)
  const presses = idle.keys.slice(0, slots.length).map((key, i): KeyPress => {
    const from = slots[i] ?? 0
    return { key, from, to: from + ms(held), bounceTStates: 0, isIdle: true }
  })
  const atStart = startPattern(idle.switches, place)
  const flips = idle.switches.slice(0, Math.max(0, slots.length - presses.length)).flatMap((bit, i) => {
    const at = slots[presses.length + i] ?? 0
    return [at, at + ms(held)].map((t) => ({ at: t, flip: 1 << bit }))
  })
  return {
    keys: [...task.keys, ...presses],
    switches: task.switches | atStart,
    switchMoves: movesOf(task, atStart, flips),
    left: idle.keys.slice(presses.length),
  }
}

/** When something idle may be done, from the start of the run. */
function slotsBetween({ keys, moves }: TaskInputs, ms: (time: number) => TState, budget: TState): readonly TState[] {
  const spans = [
    ...keys.map(({ from, to, bounceTStates }) => ({ from, to: to + bounceTStates })),
    ...moves.map(({ at }) => ({ from: at, to: at })),
  ].toSorted((a, b) => a.from - b.from)
  const gaps = spans.map(({ from }, i) => {
    const before = spans.slice(0, i).reduce((last, each) => Math.max(last, each.to), 0)
    return { from: before + ms(i === 0 ? pause : afterInput), to: from }
  })
  if (spans.length === 0) gaps.push({ from: ms(pause), to: budget })
  const length = ms(held + pause)
  return gaps.flatMap(({ from, to }) =>
    Array.from(
      { length: Math.max(0, Math.min(mostSlots, Math.floor((to - from) / length))) },
      (_, i) => from + i * length,
    ),
  )
}
/** More than any board has keys and switches. */
const mostSlots = 128

/** Every second one on; the others on; all on; and so on. Never none: a program may take any switch for its own. */
function startPattern(bits: readonly number[], place: number): Byte {
  const isOn = (i: number): boolean => [i % 2 === 0, i % 2 === 1, true][place % 3] ?? true
  return bits.reduce((mask, bit, i) => (isOn(i) ? mask | (1 << bit) : mask), 0)
}

/** The moves of the task with the idle switches standing as they do, and their own moves between them. */
function movesOf(
  { switches, moves }: TaskInputs,
  atStart: Byte,
  flips: readonly { readonly at: TState; readonly flip: Byte }[],
): readonly SwitchMove[] {
  let [own, idle] = [switches, atStart]
  return [...moves.map((move) => ({ ...move, flip: 0 })), ...flips.map((each) => ({ ...each, value: null }))]
    .toSorted((a, b) => a.at - b.at)
    .map(({ at, value, flip }): SwitchMove => {
      own = value ?? own
      idle ^= flip
      return value === null ? { at, value: own | idle, isIdle: true } : { at, value: own | idle }
    })
}

/**
 * The place of a run among those that are shown, or hidden, as it is. A student's browser, which knows of no hidden case,
 * comes to the same.
 */
export function placeAmongLike(instance: CaseInstance, all: readonly CaseInstance[]): number {
  return all.filter(({ isVisible }) => isVisible === instance.isVisible).findIndex(({ id }) => id === instance.id)
}
