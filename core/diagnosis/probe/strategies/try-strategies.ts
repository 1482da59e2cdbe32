import type { ReadOptions } from '../../../assembler/index.ts'
import { eventCode, workDone, type BoardProfile, type EventLog } from '../../../board/index.ts'
import { modelProgram, type CaseRun, type Exercise } from '../../../exercise/index.ts'
import { imageDigest, showWord } from '../../../image/index.ts'
import type { Stage, StagedCheck } from '../../../trial/index.ts'
import type { Difference } from '../behaviour.ts'
import type { Excuses, Fate, Prober } from '../fate.ts'
import type { Mutant } from '../mutants.ts'
import type { Suggestion } from '../suggestion.ts'
import { answers } from './answers.ts'
import { arithmeticStrategies } from './arithmetic-strategies.ts'
import { callStrategies } from './call-strategies.ts'
import { firstInputs } from './first-inputs.ts'
import { flagStrategies } from './flag-strategies.ts'
import type { Ground } from './ground.ts'
import { inTurn } from './input-values.ts'
import { keyStrategies } from './key-strategies.ts'
import { modelFacts } from './model-facts.ts'
import { portStrategies } from './port-strategies.ts'
import { probingInputs, type ProbingInput } from './probing-inputs.ts'
import { Proposals, type Stopped } from './proposals.ts'
import { repeats } from './repeats.ts'
import { strategyKinds, type Strategy, type StrategyKind } from './strategy.ts'
import type { StrategyResult, SurvivingStrategy } from './strategy-result.ts'

/** Units of `countWork` for all strategies, and for all edits that no case tells: some half a minute each at most. */
const [workOnStrategies, workOnEdits] = [3_000_000_000, 1_500_000_000]

/** A change of the model answer that does the same on every case. */
type UnseenEdit = Pick<Mutant, 'image' | 'at' | 'found' | 'wouldBe'>

type Told = Omit<Strategy, 'image'>

interface Survived {
  readonly strategy: Told
  readonly isSure: boolean
  /** Of the first of its group; null of the others, which are told with it. */
  readonly suggestion: Suggestion | null
}

/** Tries strategies one by one, as many as a fixed amount of work allows. */
export class StrategyTrial {
  readonly #exercise: Exercise
  readonly #prober: Prober
  readonly #proposals: Proposals
  readonly #inputs: readonly ProbingInput[]
  readonly #strategies: readonly Strategy[]
  readonly #outcomes: { readonly kind: StrategyKind; readonly what: Fate['what'] | 'asked' | 'unfinished' }[] = []
  readonly #survived: Survived[] = []
  readonly #edits = { tried: 0, untried: 0 }
  #work = 0
  #workOnEdits = 0
  #next = 0

  constructor(
    exercise: Exercise,
    profile: BoardProfile,
    options: ReadOptions,
    prober: Prober,
    seed: number,
    most = Infinity,
  ) {
    const program = modelProgram(exercise, profile)
    if (program === null) throw new Error('strategies are made from a model answer')
    const { trial } = prober
    this.#exercise = exercise
    this.#prober = prober
    this.#proposals = new Proposals(exercise, seed, prober)
    this.#inputs = []
    this.#strategies = []
    if (most === 0) return
    const facts = modelFacts(program, options, trial)
    prober.asRight = facts.text.asRight()
    const ground: Ground = { exercise, profile, facts, options, stages: trial.stages }
    this.#inputs = probingInputs(exercise, profile, trial, facts, (input) => this.#isIgnored(input))
    this.#strategies = inOrder([
      ...answers(ground),
      ...callStrategies(ground),
      ...repeats(ground),
      ...firstInputs(ground),
      ...keyStrategies(ground),
      ...portStrategies(ground),
      ...flagStrategies(ground),
      ...arithmeticStrategies(ground),
    ])
      .filter(({ image }) => trial.isAllowed(image))
      .slice(0, most)
  }

  get total(): number {
    return this.#strategies.length
  }

  get survivors(): readonly SurvivingStrategy[] {
    return grouped(this.#survived)
  }

  /** False where there is none left, or no work to spend on it. */
  get hasNext(): boolean {
    return this.#next < this.#strategies.length && this.#work <= workOnStrategies
  }

  /** Tries the next one. */
  step(): void {
    const strategy = this.#strategies[this.#next]
    if (strategy === undefined) return
    this.#next += 1
    const before = workDone()
    this.#try(strategy)
    this.#work += workDone() - before
  }

  /** Looks whether an edit that no case tells from the model answer is told by an input that no case has. */
  tryEdit({ image, at, found: before, wouldBe }: UnseenEdit): void {
    if (this.#workOnEdits > workOnEdits) {
      this.#edits.untried += 1
      return
    }
    this.#edits.tried += 1
    const start = workDone()
    const found = this.#unseen({ image, subjects: ['values', 'calls', 'keys', 'switches'], isWhole: true })
    if (found !== null && found !== 'unfinished') {
      const { difference, input } = found
      const strategy = {
        ...{
          kind: 'boundary' as const,
          words: `A program that is wrong only with ${input.words}`,
          detail: `${before} -> ${wouldBe ?? 'left out'} at ${showWord(at)}`,
        },
        ...{ isWhole: true, subjects: [] },
      }
      const stopped = { image, excuses: undefined, isHidden: false }
      this.#keep(strategy, input.isSure, () => this.#proposals.forInput(difference, input, stopped))
    }
    this.#workOnEdits += workDone() - start
  }

  result(): StrategyResult {
    const untriedKinds = this.#strategies.slice(this.#next).map(({ kind }) => kind)
    const count = (what: string, kind?: StrategyKind): number =>
      this.#outcomes.filter((each) => each.what === what && (kind === undefined || each.kind === kind)).length
    const row = (kind?: StrategyKind) => {
      const outcomes = this.#outcomes.filter((each) => kind === undefined || each.kind === kind)
      const unfinished = count('unfinished', kind)
      return {
        tried: outcomes.length - unfinished,
        ...{ same: count('same', kind), caught: count('caught', kind) },
        ...{ survived: count('survived', kind), asked: count('asked', kind) },
        untried: unfinished + untriedKinds.filter((each) => kind === undefined || each === kind).length,
      }
    }
    const total = row()
    return {
      made: this.#strategies.length,
      inputs: this.#inputs.length,
      edits: { ...this.#edits },
      total,
      kinds: strategyKinds.map((kind) => ({ kind, ...row(kind) })).filter(({ tried, untried }) => tried + untried > 0),
      survivors: this.survivors,
    }
  }

  #try(strategy: Strategy): void {
    const { kind, image, isWhole } = strategy
    const [stage] = this.#prober.trial.stages
    const excuses = isWhole ? undefined : this.#excuses
    const fate = this.#prober.fateOf(image, excuses)
    if (fate.what === 'caught') {
      this.#outcomes.push({ kind, what: 'caught' })
      return
    }
    if (kind === 'nothing' || kind === 'stored') {
      this.#keep(strategy, true, () => idleSuggestion(stage))
      return
    }
    // A list of results would have the new case too, if students saw it.
    const stopped: Stopped = { image, excuses, isHidden: kind === 'look-up' }
    const { found } = fate
    if (found !== null) {
      // What a second round leaves in a program's own variables is nobody's business.
      const isSure = kind !== 'repeated' || found.difference.kind !== 'memory'
      this.#keep(strategy, isSure, () => this.#proposals.forCase(found, stopped))
      return
    }
    const unseen = this.#unseen(strategy)
    if (unseen === 'unfinished') {
      this.#outcomes.push({ kind, what: 'unfinished' })
      return
    }
    if (unseen !== null) {
      const { difference, input } = unseen
      this.#keep(strategy, input.isSure, () => this.#proposals.forInput(difference, input, stopped))
      return
    }
    const called = this.#prober.callDifferenceOf(image)
    if (called !== null) this.#keep(strategy, true, () => this.#proposals.forCase(called, stopped, true))
    else if (this.#isRepeating(strategy)) {
      this.#keep(strategy, false, () => this.#repeatedSuggestion(strategy, stage, stopped))
    } else this.#outcomes.push({ kind, what: 'same' })
  }

  #keep(strategy: Told, isSure: boolean, suggest: () => Suggestion): void {
    const isFirst = !this.#survived.some((each) => groupOf(each) === groupOf({ strategy, isSure }))
    this.#survived.push({ strategy, isSure, suggestion: isFirst ? suggest() : null })
    this.#outcomes.push({ kind: strategy.kind, what: isSure ? 'survived' : 'asked' })
  }

  /** The first input that tells it, those that the task surely allows before all others. */
  #unseen({
    image,
    subjects,
    isWhole,
  }: Pick<Strategy, 'image' | 'subjects' | 'isWhole'>):
    { readonly input: ProbingInput; readonly difference: Difference } | 'unfinished' | null {
    const worth = this.#inputs.filter(({ subject }) => subjects.includes(subject))
    const start = workDone()
    for (const input of [...worth.filter(({ isSure }) => isSure), ...worth.filter(({ isSure }) => !isSure)]) {
      if (this.#work + (workDone() - start) > workOnStrategies) return 'unfinished'
      const difference = this.#prober.differenceOn(input.stage, image, !isWhole)
      if (difference !== null) return { input, difference }
    }
    return null
  }

  /** Whether the model answer takes no notice of the keys that an input has beside those of its case: they must do nothing. */
  #isIgnored({ like, stage }: ProbingInput): boolean {
    const base = this.#prober.trial.stages.find(({ instance }) => instance.of.id === like)
    if (base === undefined || (isPastKeys(base) && !isPastKeys(stage))) return false
    return this.#prober.isSameOn(base, stage)
  }

  /** Whether it puts out more than the model answer, in a way that no eye or ear tells. */
  #isRepeating({ image, repeats: repeated }: Strategy): boolean {
    const [stage] = this.#prober.trial.stages
    if (repeated === undefined || stage === undefined || stage.model === null) return false
    const wanted = portWrites(stage.model.events)
    return portWrites(this.#prober.trial.run(stage, image).result.events) > wanted
  }

  #repeatedSuggestion({ repeats: repeated }: Strategy, stage: Stage | undefined, stopped: Stopped): Suggestion {
    const caseId = repeated?.caseId ?? stage?.instance.of.id ?? ''
    const check = this.#proposals.proven(repeated?.check ?? null, caseId, stopped)
    const words = `On ${caseId} ${repeated?.words ?? ''}, and nobody sees it.`
    const title = check === null ? '' : 'How often it is called'
    return { check, caseId, needsRuns: false, words, plainCase: null, title, isTried: check !== null }
  }

  /** What is put into a model answer makes it longer, slower and deeper, which is not what it is tried for. */
  readonly #excuses: Excuses = ({ id }: StagedCheck, run: CaseRun) => {
    const check = this.#exercise.checks.find((each) => each.id === id)
    const { result, request } = run
    switch (check?.kind) {
      case 'size':
        return true
      case 't-states': {
        const isOnlyMost = (check['near'] ?? check['min'] ?? null) === null
        const usual = run.model()?.tStates ?? 0
        return isOnlyMost && result.tStates <= 2 * usual + 400
      }
      case 'stack-balance':
        return (
          result.end.kind === 'returned' ||
          result.registers.sp === (request.given.registers.sp ?? run.profile.layout.stackTop)
        )
      default:
        return false
    }
  }
}

/** Whether the model answer runs on until the last key of the task is pressed. */
function isPastKeys({ model, request }: Stage): boolean {
  const keys = request.given.keys.filter(({ isIdle }) => isIdle !== true)
  return model !== null && keys.every(({ from }) => model.tStates > from)
}

function portWrites(events: EventLog): number {
  let count = 0
  for (let i = 0; i < events.length; i++) if (events.codeAt(i) === eventCode.portWrite) count += 1
  return count
}

/** No work of the program was needed, so no other input is either. */
function idleSuggestion(stage: Stage | undefined): Suggestion {
  const words =
    'What the checks want is there before the first instruction: let it be made wrong, or say where bytes may stand.'
  const caseId = stage?.instance.of.id ?? ''
  return { check: null, caseId, needsRuns: false, plainCase: null, words, title: '', isTried: false }
}

/** One of each kind in turn, so that no kind goes untried where there is not time for all; no image twice. */
function inOrder(strategies: readonly Strategy[]): readonly Strategy[] {
  const seen = new Set<string>()
  const lists = strategyKinds.map((kind) =>
    strategies.filter((each) => {
      const digest = imageDigest(each.image)
      if (each.kind !== kind || seen.has(digest)) return false
      seen.add(digest)
      return true
    }),
  )
  return inTurn(lists)
}

const groupOf = ({ strategy, isSure }: Pick<Survived, 'strategy' | 'isSure'>): string =>
  `${strategy.words}|${String(isSure)}`

/** Those with the same words and certainty are one. */
function grouped(survived: readonly Survived[]): readonly SurvivingStrategy[] {
  const groups = new Map<string, SurvivingStrategy & { readonly details: string[] }>()
  for (const each of survived) {
    const { strategy, isSure, suggestion } = each
    const { kind, words, detail } = strategy
    const key = groupOf(each)
    const group = groups.get(key)
    if (group === undefined && suggestion !== null) {
      groups.set(key, { kind, words, details: detail === null ? [] : [detail], count: 1, isSure, suggestion })
    } else if (group !== undefined) {
      groups.set(key, { ...group, count: group.count + 1 })
      if (detail !== null) group.details.push(detail)
    }
  }
  return [...groups.values()].toSorted((a, b) => Number(b.isSure) - Number(a.isSure))
}
