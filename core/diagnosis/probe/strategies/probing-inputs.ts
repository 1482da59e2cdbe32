import type { BoardProfile } from '../../../board/index.ts'
import { registerValue, type CaseInstance, type Exercise, type ExerciseCase } from '../../../exercise/index.ts'
import { showByte, showWord } from '../../../image/index.ts'
import { registersAtStart } from '../../../run/index.ts'
import type { TState } from '../../../cpu/index.ts'
import { usualTime, type Stage, type Trial } from '../../../trial/index.ts'
import { switchesOf } from './port-strategies.ts'
import { inTurn, telling } from './input-values.ts'
import { caseWith, inputPlaces, placedText, plainCase } from './inputs.ts'
import type { ModelFacts } from './model-facts.ts'
import { keyInputs } from './key-inputs.ts'
import type { ProbeSubject } from './strategy.ts'

/** An input that no case of an exercise has. */
export interface ProbingInput {
  readonly subject: ProbeSubject
  /** `BC = 0100h`, `key 5 between the others`. */
  readonly words: string
  /** The task surely allows it. Otherwise only its author can say. */
  readonly isSure: boolean
  readonly stage: Stage
  /** The case as it would stand in the document. */
  readonly plain: Readonly<Record<string, unknown>>
  /** The case that it was made from. */
  readonly like: string
}

/** Most of them about values, and T-states that one program takes on all of them. */
const [fewest, most, worth] = [4, 160, 60_000_000]
/** Inputs are made from cases that take no longer. */
const longestBase: TState = 30_000_000
const runOverhead: TState = 50_000
/** Cases from which inputs are made. */
const mostBases = 4

/** Inputs beside those of the cases on which programs are compared with the model answer, which all of them end well. */
export function probingInputs(
  exercise: Exercise,
  profile: BoardProfile,
  trial: Trial,
  facts: ModelFacts,
): readonly ProbingInput[] {
  const made = new Maker(exercise, trial)
  const bases = basesOf(trial.stages)
  const short = bases.filter((stage) => usualTime(stage) <= longestBase)
  const cost = short.reduce((sum, stage) => sum + usualTime(stage) + runOverhead, 0) / Math.max(1, short.length)
  const many = Math.max(fewest, Math.min(most, Math.floor(worth / cost)))
  const places = inputPlaces(trial.stages, facts)
  const values = short.slice(0, mostBases).map((stage) => {
    const here = places.filter(({ register, at }) => register !== null || isGivenIn(stage, at))
    return telling(stage, here, facts.numbers).map((set, i) => {
      const words =
        set.length > 3
          ? rowText(
              set.map(({ value }) => value),
              set[0]?.place.at ?? 0,
            )
          : set.map(placedText).join(', ')
      const isSure = set.every(({ place, value }) => value >= place.low && value <= place.high)
      const id = `${stage.instance.of.id.slice(0, 16)}-${set.length > 3 ? `row-${i + 1}` : idOf(words)}`
      return made.input('values', words, isSure, stage, caseWith(stage, set, id, words))
    })
  })
  return [
    ...inTurn(values).slice(0, many),
    ...(exercise.program.ends === 'return'
      ? short.slice(0, 1).flatMap((stage) => calledTwice(stage, profile, made))
      : []),
    ...switchInputs(bases, profile, made),
    ...keyInputs(bases, profile, made),
  ].filter(({ stage }) => {
    const end = stage.model?.end.kind
    return end === 'halted' || end === 'returned'
  })
}

/** Makes stages of cases. */
export class Maker {
  readonly #exercise: Exercise
  readonly #trial: Trial

  constructor(exercise: Exercise, trial: Trial) {
    this.#exercise = exercise
    this.#trial = trial
  }

  input(
    subject: ProbeSubject,
    words: string,
    isSure: boolean,
    base: Stage,
    of: ExerciseCase,
    ends = this.#exercise.program.ends,
  ): ProbingInput {
    // Checks and what they look at go by the case that it was made from.
    const like = base.instance.of.id
    const same: ExerciseCase = { ...of, id: like, boundaries: false }
    const instance: CaseInstance = { id: like, title: words, isVisible: true, of: same, boundary: null }
    const { program } = this.#exercise
    const exercise = { ...this.#exercise, cases: [same], program: { ...program, ends } }
    return {
      subject,
      words,
      isSure,
      like,
      stage: this.#trial.stageLike(base, exercise, instance),
      plain: plainCase(of),
    }
  }
}

/** One run of each case, those with written values first. */
function basesOf(stages: readonly Stage[]): readonly Stage[] {
  const seen = new Set<string>()
  return stages
    .filter(({ instance, request }) => {
      if (seen.has(instance.of.id) || request.image.segments.length > 0) return false
      seen.add(instance.of.id)
      return true
    })
    .toSorted((a, b) => a.instance.of.draws.length - b.instance.of.draws.length)
}

function idOf(words: string): string {
  return words
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .slice(0, 22)
    .replace(/-$/, '')
}

function isGivenIn({ request }: Stage, at: number): boolean {
  return request.given.memory.some((block) => at >= block.at && at < block.at + block.bytes.length)
}

function rowText(values: readonly number[], at: number): string {
  const shown = values.slice(0, 16).map((value) => showByte(value).slice(0, 2))
  return `${showWord(at)}: ${shown.join(' ')}${values.length > 16 ? ' …' : ''}`
}

/** Room for a driver that nothing else uses. */
const driverBytes = 48

/** The routine called a second time with the same registers. */
function calledTwice(stage: Stage, profile: BoardProfile, made: Maker): readonly ProbingInput[] {
  const { of } = stage.instance
  const own = of.given
  const origin = freeRam(stage, profile)
  if ((own?.driver ?? null) !== null || origin === null) return []
  const start = registersAtStart(stage.request)
  const names = [
    ...new Set([...Object.keys(own?.registers ?? {}), ...of.draws.flatMap(({ register }) => register ?? [])]),
  ]
  const loadable = ['bc', 'de', 'hl', 'ix', 'iy', 'a', 'b', 'c', 'd', 'e', 'h', 'l'] as const
  const loads = loadable
    .filter((name) => names.includes(name))
    .map((name) => ` LD ${name.toUpperCase()},${registerValue(start, name)}`)
  const assembly = [' CALL ENTRY', ...loads, ' CALL ENTRY', ' HALT', ''].join('\n')
  const written = caseWith(stage, [], `${of.id}-twice`.slice(0, 40), `${of.title ?? of.id}, called twice`)
  if (written.given === null) return []
  const given = { ...written.given, driver: { origin, assembly } }
  return [made.input('calls', 'called a second time', true, stage, { ...written, given })]
}

function freeRam({ request, model, memory }: Stage, profile: BoardProfile): number | null {
  if (model === null) return null
  const taken = new Uint8Array(0x10000)
  for (const { at, bytes } of request.given.memory) taken.fill(1, at, at + bytes.length)
  for (const { at, hex } of profile.firmware.ready) taken.fill(1, at, at + hex.length / 2)
  for (let at = 0; at < 0x10000; at++) if (model.memory[at] !== memory[at]) taken[at] = 1
  for (let origin = profile.layout.data - driverBytes; origin > profile.layout.program + 0x100; origin -= 16) {
    if (!taken.subarray(origin - 16, origin + driverBytes + 16).includes(1)) return origin
  }
  return null
}

/** Each switch the other way. */
function switchInputs(bases: readonly Stage[], { switches }: BoardProfile, made: Maker): readonly ProbingInput[] {
  const [stage] = bases
  const used = bases.reduce((mask, { request }) => mask | switchesOf(request), 0)
  if (switches === null || stage === undefined || used === 0) return []
  const before = stage.request.given.switches
  return switches.bits.map((bit) => {
    const value = before ^ (1 << bit)
    const words = `switches at ${showByte(value)}`
    const written = caseWith(stage, [], `switches-${value.toString(16)}`, words)
    const isOther = ((used >> bit) & 1) === 0
    const moves = (written.given?.switchMoves ?? []).map((move) => ({
      ...move,
      to: move.to | (isOther ? 1 << bit : 0),
    }))
    const given = written.given === null ? null : { ...written.given, switches: value, switchMoves: moves }
    return made.input('switches', words, true, stage, { ...written, given })
  })
}
