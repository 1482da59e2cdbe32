import type { ReadOptions } from '../../../assembler/index.ts'
import { eventCode, type BoardProfile, type EventLog } from '../../../board/index.ts'
import type { TState } from '../../../cpu/index.ts'
import { modelProgram, type CaseRun, type Exercise } from '../../../exercise/index.ts'
import { imageDigest, showWord } from '../../../image/index.ts'
import { usualTime, type Stage, type StagedCheck } from '../../../trial/index.ts'
import type { Excuses, Fate, Prober } from '../fate.ts'
import type { Mutant } from '../mutants.ts'
import { suggestionFor, suggestionWithCase, type Suggestion } from '../suggestion.ts'
import { answers } from './answers.ts'
import { arithmeticStrategies } from './arithmetic-strategies.ts'
import { flagStrategies } from './flag-strategies.ts'
import type { Ground } from './ground.ts'
import { inTurn } from './input-values.ts'
import { keyStrategies } from './key-strategies.ts'
import { modelFacts } from './model-facts.ts'
import { portStrategies } from './port-strategies.ts'
import { probingInputs, type ProbingInput } from './probing-inputs.ts'
import { repeats } from './repeats.ts'
import { strategyKinds, type Strategy, type StrategyKind } from './strategy.ts'
import type { StrategyResult, SurvivingStrategy } from './strategy-result.ts'

/** T-states of all runs, with what each costs besides. */
const workLimit: TState = 800_000_000
const runOverhead: TState = 60_000

/** A change of the model answer that does the same on every case. */
type UnseenEdit = Pick<Mutant, 'image' | 'at' | 'found' | 'wouldBe'>

interface Survived {
  readonly strategy: Omit<Strategy, 'image'>
  readonly isSure: boolean
  readonly suggestion: Suggestion
}

/** Tries strategies one by one, as many as a fixed amount of work allows. */
export class StrategyTrial {
  readonly #exercise: Exercise
  readonly #prober: Prober
  readonly #inputs: readonly ProbingInput[]
  readonly #strategies: readonly Strategy[]
  readonly #outcomes: { readonly kind: StrategyKind; readonly what: Fate['what'] | 'asked' }[] = []
  readonly #survived: Survived[] = []
  #work: TState = 0
  #next = 0

  constructor(exercise: Exercise, profile: BoardProfile, options: ReadOptions, prober: Prober, most = Infinity) {
    const program = modelProgram(exercise, profile)
    if (program === null) throw new Error('strategies are made from a model answer')
    const { trial } = prober
    this.#exercise = exercise
    this.#prober = prober
    this.#inputs = []
    this.#strategies = []
    if (most === 0) return
    const facts = modelFacts(program, options, trial, profile)
    prober.asRight = facts.text.asRight()
    const ground: Ground = { exercise, profile, facts, options, stages: trial.stages }
    this.#inputs = probingInputs(exercise, profile, trial, facts).map((input) => this.#judged(input))
    this.#strategies = inOrder([
      ...answers(ground),
      ...repeats(ground),
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
    return this.#next < this.#strategies.length && this.#work <= workLimit
  }

  /** Tries the next one. */
  step(): void {
    const strategy = this.#strategies[this.#next]
    if (strategy === undefined) return
    this.#next += 1
    this.#try(strategy)
  }

  /** Looks whether an edit that no case tells from the model answer is told by an input that no case has. */
  tryEdit({ image, at, found: before, wouldBe }: UnseenEdit): void {
    const found = this.#unseen({ image, subjects: ['values', 'calls', 'keys', 'switches'], isWhole: true })
    if (found === null) return
    const strategy = {
      ...{
        kind: 'boundary' as const,
        words: `A program that is wrong only with ${found.input.words}`,
        detail: `${before} -> ${wouldBe ?? 'left out'} at ${showWord(at)}`,
      },
      ...{ isWhole: false, subjects: [] },
    }
    this.#keep(strategy, found.input.isSure, found.suggestion)
  }

  result(): StrategyResult {
    const count = (what: string, kind?: StrategyKind): number =>
      this.#outcomes.filter((each) => each.what === what && (kind === undefined || each.kind === kind)).length
    const row = (kind?: StrategyKind) => ({
      tried: this.#outcomes.filter((each) => kind === undefined || each.kind === kind).length,
      ...{ same: count('same', kind), caught: count('caught', kind) },
      ...{ survived: count('survived', kind), asked: count('asked', kind) },
    })
    return {
      made: this.#strategies.length,
      untried: this.#strategies.length - this.#next,
      inputs: this.#inputs.length,
      total: row(),
      kinds: strategyKinds.map((kind) => ({ kind, ...row(kind) })).filter(({ tried }) => tried > 0),
      survivors: this.survivors,
    }
  }

  #try(strategy: Strategy): void {
    const { kind, image } = strategy
    const [stage] = this.#prober.trial.stages
    const fate = this.#prober.fateOf(image, strategy.isWhole ? undefined : this.#excuses)
    this.#spend(this.#prober.trial.stages.slice(0, fate.what === 'caught' ? 1 : undefined))
    if (fate.what === 'caught') {
      this.#outcomes.push({ kind, what: 'caught' })
      return
    }
    if (kind === 'nothing' || kind === 'stored') {
      this.#keep(strategy, true, idleSuggestion(stage))
      return
    }
    if (fate.found !== null) {
      // What a second round leaves in a program's own variables is nobody's business.
      const isSure = kind !== 'repeated' || fate.found.difference.kind !== 'memory'
      this.#keep(strategy, isSure, suggestionFor(fate.found))
      return
    }
    const unseen = this.#unseen(strategy)
    if (unseen !== null) this.#keep(strategy, unseen.input.isSure, hiddenFor(strategy, unseen.suggestion))
    else if (this.#isRepeating(strategy)) this.#keep(strategy, false, repeatedSuggestion(strategy, stage))
    else this.#outcomes.push({ kind, what: 'same' })
  }

  #keep(strategy: Omit<Strategy, 'image'>, isSure: boolean, suggestion: Suggestion): void {
    this.#survived.push({ strategy, isSure, suggestion })
    this.#outcomes.push({ kind: strategy.kind, what: isSure ? 'survived' : 'asked' })
  }

  /** The first input that tells it, those that the task surely allows before all others. */
  #unseen({
    image,
    subjects,
    isWhole,
  }: Pick<Strategy, 'image' | 'subjects' | 'isWhole'>): { input: ProbingInput; suggestion: Suggestion } | null {
    const worth = this.#inputs.filter(({ subject }) => subjects.includes(subject))
    for (const input of [...worth.filter(({ isSure }) => isSure), ...worth.filter(({ isSure }) => !isSure)]) {
      if (this.#work > workLimit) return null
      this.#spend([input.stage])
      const difference = this.#prober.differenceOn(input.stage, image, !isWhole)
      if (difference === null) continue
      return { input, suggestion: suggestionWithCase(difference, input.plain, input.words) }
    }
    return null
  }

  #spend(stages: readonly Stage[]): void {
    for (const stage of stages) this.#work += usualTime(stage) + runOverhead
  }

  /** A key that the model answer takes no notice of must do nothing; what another one is for, only the author can say. */
  #judged(input: ProbingInput): ProbingInput {
    if (input.subject !== 'keys' || !input.isSure) return input
    const base = this.#prober.trial.stages.find(({ instance }) => instance.of.id === input.like)
    return { ...input, isSure: base !== undefined && this.#prober.isSameOn(base, input.stage) }
  }

  /** Whether it puts out more than the model answer, in a way that no eye or ear tells. */
  #isRepeating({ image, repeats: repeated }: Strategy): boolean {
    const [stage] = this.#prober.trial.stages
    if (repeated === undefined || stage === undefined || stage.model === null) return false
    const wanted = portWrites(stage.model.events)
    return portWrites(this.#prober.trial.run(stage, image).result.events) > wanted
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

function portWrites(events: EventLog): number {
  let count = 0
  for (let i = 0; i < events.length; i++) if (events.codeAt(i) === eventCode.portWrite) count += 1
  return count
}

function repeatedSuggestion({ repeats: repeated }: Strategy, stage: Stage | undefined): Suggestion {
  const caseId = stage?.instance.of.id ?? ''
  const words = `On ${caseId} ${repeated?.words ?? ''}, and nobody sees it.`
  return { check: repeated?.check ?? null, caseId, needsRuns: false, words, plainCase: null }
}

/** No work of the program was needed, so no other input is either. */
function idleSuggestion(stage: Stage | undefined): Suggestion {
  const words =
    'What the checks want is there before the first instruction: let it be made wrong, or say where bytes may stand.'
  return { check: null, caseId: stage?.instance.of.id ?? '', needsRuns: false, plainCase: null, words }
}

/** A list of results would have the new case too, if students saw it. */
function hiddenFor({ kind }: Strategy, suggestion: Suggestion): Suggestion {
  const { plainCase } = suggestion
  if (kind !== 'look-up' || plainCase === null) return suggestion
  const { id, title, ...rest } = plainCase
  return { ...suggestion, plainCase: { id, title, visible: false, ...rest } }
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

/** Those with the same words and certainty are one. */
function grouped(survived: readonly Survived[]): readonly SurvivingStrategy[] {
  const groups = new Map<string, SurvivingStrategy & { readonly details: string[] }>()
  for (const { strategy, isSure, suggestion } of survived) {
    const { kind, words, detail } = strategy
    const key = `${words}|${String(isSure)}`
    const group = groups.get(key)
    if (group === undefined) {
      groups.set(key, { kind, words, details: detail === null ? [] : [detail], count: 1, isSure, suggestion })
    } else {
      groups.set(key, { ...group, count: group.count + 1 })
      if (detail !== null) group.details.push(detail)
    }
  }
  return [...groups.values()].toSorted((a, b) => Number(b.isSure) - Number(a.isSure))
}
