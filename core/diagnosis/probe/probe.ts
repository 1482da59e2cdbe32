import type { BoardProfile } from '../../board/index.ts'
import { exerciseFor, modelProgram, readOptionsFor, staffReadOptionsFor, type Exercise } from '../../exercise/index.ts'
import { doNothingScore } from '../../grading/index.ts'
import { Random } from '../../run/index.ts'
import { usualTime, type Stage } from '../../trial/index.ts'
import { longCase, Prober, type Fate } from './fate.ts'
import { mutantKinds, mutantsOf, sampleOf, type Mutant } from './mutants.ts'
import type { CheckRow, KindRow, MutantCount, ProbeResult, Survivor } from './probe-result.ts'
import { StrategyTrial } from './strategies/try-strategies.ts'
import type { SurvivingStrategy } from './strategies/strategy-result.ts'
import { suggestionFor, type Found } from './suggestion.ts'

export interface ProbeOptions {
  /** Decides drawn values and which mutants are drawn; 0 unless given. */
  readonly seed?: number
  /** Most mutants tried; as many as a few seconds allow unless given. */
  readonly most?: number
  /** Most whole wrong answers tried; as many as a few seconds allow unless given. 0 leaves them out. */
  readonly mostStrategies?: number
  /** Spares nothing that is known beforehand to change no fate, and takes many times as long: what shortcuts are held to. */
  readonly isThorough?: boolean
  /** Called before each mutant; `false` ends the probe with what is known so far. */
  readonly onProgress?: (progress: ProbeProgress) => boolean | void
}

/** How far a probe is, and what became of the mutants tried so far. */
export interface ProbeProgress {
  readonly done: number
  readonly total: number
  readonly caught: number
  readonly survived: number
  /** Those that survived, so that they are known too where a probe is broken off from outside. */
  readonly survivors: readonly Survivor[]
  readonly strategies: readonly SurvivingStrategy[]
}

/** T-states of all runs that a probe takes unless it is told how many mutants to try. */
const workLimit = 2_500_000_000
const [fewest, usual] = [240, 1_000]
/** What a run costs besides its T-states, and what deciding a check on it adds, by `StagedCheck.cost`; in T-states. */
const runOverhead = 50_000
const costOfCheck = [0, 100_000, 1_000_000, 6_000_000]

/**
 * Tries the checks of an exercise on mutants of its model answer: those that do the same as the model answer on every input
 * tried are no mistakes; of the others each should fail a check. Null where the exercise has no model answer that passes.
 */
export function probe(written: Exercise, profile: BoardProfile, options: ProbeOptions = {}): ProbeResult | null {
  const seed = options.seed ?? 0
  const exercise = exerciseFor(written, seed)
  const model = modelProgram(exercise, profile)
  if (model === null) return null
  const prober = new Prober(exercise, profile, model, seed, options.isThorough)
  if (!prober.isModelPassing()) return null
  const every = mutantsOf(model, readOptionsFor(exercise, profile)).filter(({ image }) => prober.trial.isAllowed(image))
  const mutants = sampleOf(every, options.most ?? affordable(prober.trial.stages), new Random(seed))
  const fates: MutantFate[] = []
  let isStopped = false
  const survivors: Survivor[] = []
  const { mostStrategies } = options
  const strategies = new StrategyTrial(
    exercise,
    profile,
    staffReadOptionsFor(exercise, profile),
    prober,
    seed,
    mostStrategies,
  )
  let all = strategies.total + mutants.length
  let [caught, done] = [0, 0]
  const isToGoOn = (): boolean => {
    const [found, strategic] = [[...survivors], strategies.survivors]
    const progress = { done, total: all, caught, survived: found.length, survivors: found, strategies: strategic }
    isStopped ||= options.onProgress?.(progress) === false
    done += 1
    return !isStopped
  }
  for (const mutant of mutants) {
    if (!isToGoOn()) break
    const fate = prober.fateOf(mutant.image)
    if (fate.what === 'caught') caught += 1
    if (fate.found !== null) survivors.push(survivorOf(mutant, fate.found))
    fates.push({ ...fate, mutant })
  }
  const unseen = mostStrategies === 0 ? [] : fates.filter(({ what }) => what === 'same')
  all += unseen.length
  while (!isStopped && strategies.hasNext && isToGoOn()) strategies.step()
  for (const { mutant } of unseen) if (!isStopped && isToGoOn()) strategies.tryEdit(mutant)
  const total = countOf(fates)
  const changing = total.caught + total.survived
  return {
    exercise: { id: exercise.id, title: exercise.title },
    seed,
    made: every.length,
    isSampled: mutants.length < every.length,
    isStopped,
    total,
    score: changing === 0 ? 100 : Math.floor((10_000 * total.caught) / changing) / 100,
    kinds: mutantKinds.map((kind): KindRow => ({
      kind,
      ...countOf(fates.filter(({ mutant }) => mutant.kind === kind)),
    })),
    checks: exercise.checks.map(({ id, title, kind }): CheckRow => {
      const tried = fates.filter(({ what, decided }) => what !== 'same' && decided.has(id))
      const caught = tried.filter(({ failed }) => failed.has(id))
      const alone = caught.filter(({ failed }) => failed.size === 1).length
      return {
        id,
        title,
        kind,
        tried: tried.length,
        caught: caught.length,
        survived: tried.length - caught.length,
        alone,
      }
    }),
    survivors,
    gifts: doNothingScore(written, profile, seed).filter(({ marks }) => marks > 0),
    strategies: strategies.result(),
  }
}

type MutantFate = Fate & { readonly mutant: Mutant }

function countOf(fates: readonly Fate[]): MutantCount {
  const count = (what: Fate['what']): number => fates.filter((fate) => fate.what === what).length
  return { tried: fates.length, same: count('same'), caught: count('caught'), survived: count('survived') }
}

function survivorOf({ kind, at, found: before, wouldBe }: Mutant, found: Found): Survivor {
  return { kind, at, found: before, wouldBe, suggestion: suggestionFor(found) }
}

/** How many mutants can be tried in a few seconds. */
function affordable(stages: readonly Stage[]): number {
  const short = stages.filter((stage) => usualTime(stage) <= longCase)
  // Most mutants are caught before a second long case would be run.
  const long = stages.find((stage) => usualTime(stage) > longCase)
  const costs = [...short, ...(long === undefined ? [] : [long])].map(
    (stage) => stage.checks.reduce((sum, { cost }) => sum + (costOfCheck[cost] ?? 0), usualTime(stage)) + runOverhead,
  )
  const cost = costs.reduce((sum, each) => sum + each, 0)
  return Math.max(fewest, Math.min(usual, Math.floor(workLimit / cost)))
}
