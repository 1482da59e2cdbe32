import type { BoardProfile } from '../../../board/index.ts'
import { callsOfCase, type CaseInstance, type Exercise, type ExerciseCase } from '../../../exercise/index.ts'
import { showByte, showWord } from '../../../image/index.ts'
import type { TState } from '../../../cpu/index.ts'
import { usualTime, type Stage, type Trial } from '../../../trial/index.ts'
import { callInputs } from './call-inputs.ts'
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
  isIgnored: (input: ProbingInput) => boolean,
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
    ...callInputs(short, exercise, callsIn(short), made),
    ...switchInputs(bases, profile, made),
    ...keyInputs(bases, profile, made, isIgnored),
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

  /** `shown` is how the case stands in the document, where that is not as it is run; `isIdle` if it changes nothing. */
  input(
    subject: ProbeSubject,
    words: string,
    isSure: boolean,
    base: Stage,
    of: ExerciseCase,
    { shown = of, isIdle = false }: { readonly shown?: ExerciseCase; readonly isIdle?: boolean } = {},
  ): ProbingInput {
    // Checks and what they look at go by the case that it was made from.
    const like = base.instance.of.id
    const same: ExerciseCase = { ...of, id: like, boundaries: false }
    const instance: CaseInstance = { id: like, title: words, isVisible: true, of: same, boundary: null }
    const exercise = { ...this.#exercise, cases: [same] }
    const stage = this.#trial.stageLike(base, exercise, instance)
    return { ...{ subject, words, isSure, like, stage }, plain: plainCase(shown, isIdle) }
  }
}

/** One run of each case, those with written values first. */
function basesOf(stages: readonly Stage[]): readonly Stage[] {
  const seen = new Set<string>()
  return stages
    .filter(({ instance, request }) => {
      const isDriven = request.image.segments.length > 0 && instance.of.calls.length === 0
      if (seen.has(instance.of.id) || isDriven) return false
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

/** Calls of the routine in the case that has most of them. */
function callsIn(stages: readonly Stage[]): number {
  return Math.max(1, ...stages.map(({ instance }) => callsOfCase(instance.of).length))
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
