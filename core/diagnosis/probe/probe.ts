import type { BoardProfile } from '../../board/index.ts'
import type { Program } from '../../assembler/index.ts'
import { exerciseFor, modelProgram, readOptionsFor, type Exercise } from '../../exercise/index.ts'
import { gradeProgram } from '../../grading/index.ts'
import { Random, run } from '../../run/index.ts'
import { usualTime, type Stage } from '../trial/stage.ts'
import { Trial } from '../trial/trial.ts'
import { behaviourOf, differenceBetween, type Behaviour } from './behaviour.ts'
import { mutantKinds, mutantsOf, sampleOf, type Mutant } from './mutants.ts'
import type { CheckRow, KindRow, MutantCount, ProbeResult, Survivor } from './probe-result.ts'
import { suggestionFor, type Found } from './suggestion.ts'

export interface ProbeOptions {
  /** Decides drawn values and which mutants are drawn; 0 unless given. */
  readonly seed?: number
  /** Most mutants tried; as many as a few seconds allow unless given. */
  readonly most?: number
  /** Called before each mutant; `false` ends the probe with what is known so far. */
  readonly onProgress?: (progress: ProbeProgress) => boolean | void
}

/** How far a probe is, and what became of the mutants tried so far. */
export interface ProbeProgress {
  readonly done: number
  readonly total: number
  readonly caught: number
  readonly survived: number
}

/** T-states of all runs that a probe takes unless it is told how many mutants to try. */
const workLimit = 2_500_000_000
const [fewest, usual] = [300, 1_000]
/** A mutant that was caught is not run any more on cases that take longer than this. */
const longCase = 500_000
/** What a run costs besides its T-states, and what deciding a check on it adds, by `StagedCheck.cost`; in T-states. */
const runOverhead = 50_000
const costOfCheck = [0, 100_000, 1_000_000, 6_000_000]
/** Sets of other drawn values on which a survivor must do the same as the model answer to count as no mistake. */
const otherSeeds = 4

/**
 * Tries the checks of an exercise on mutants of its model answer: those that do the same as the model answer on every input
 * tried are no mistakes; of the others each should fail a check. Null where the exercise has no model answer that passes.
 */
export function probe(written: Exercise, profile: BoardProfile, options: ProbeOptions = {}): ProbeResult | null {
  const seed = options.seed ?? 0
  const exercise = exerciseFor(written, seed)
  const model = modelProgram(exercise, profile)
  if (model === null || !gradeProgram(model, exercise, profile, { seed }).isFullMarks) return null
  const prober = new Prober(exercise, profile, model, seed)
  const all = mutantsOf(model, readOptionsFor(exercise, profile)).filter(({ image }) => prober.trial.isAllowed(image))
  const mutants = sampleOf(all, options.most ?? prober.affordable(), new Random(seed))
  const fates: Fate[] = []
  let isStopped = false
  let [caught, survived] = [0, 0]
  for (const [done, mutant] of mutants.entries()) {
    if (options.onProgress?.({ done, total: mutants.length, caught, survived }) === false) {
      isStopped = true
      break
    }
    const fate = prober.fateOf(mutant)
    if (fate.what === 'caught') caught += 1
    if (fate.what === 'survived') survived += 1
    fates.push(fate)
  }
  const total = countOf(fates)
  const changing = total.caught + total.survived
  return {
    exercise: { id: exercise.id, title: exercise.title },
    seed,
    made: all.length,
    isSampled: mutants.length < all.length,
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
    survivors: fates.flatMap(({ mutant, found }): Survivor[] => {
      if (found === null) return []
      const { kind, at, found: before, wouldBe } = mutant
      return [{ kind, at, found: before, wouldBe, suggestion: suggestionFor(found) }]
    }),
  }
}

function countOf(fates: readonly Fate[]): MutantCount {
  const count = (what: Fate['what']): number => fates.filter((fate) => fate.what === what).length
  return { tried: fates.length, same: count('same'), caught: count('caught'), survived: count('survived') }
}

/** What became of a mutant. */
interface Fate {
  readonly mutant: Mutant
  readonly what: 'same' | 'caught' | 'survived'
  /** Ids of the checks that were decided on it, and of those that it failed. */
  readonly decided: ReadonlySet<string>
  readonly failed: ReadonlySet<string>
  /** How a survivor can be told from the model answer. */
  readonly found: Found | null
}

class Prober {
  readonly trial: Trial
  readonly #exercise: Exercise
  readonly #profile: BoardProfile
  readonly #model: Program
  readonly #seed: number
  /** The cases with other drawn values; made when the first survivor wants them. */
  readonly #others = new Map<number, Trial>()
  readonly #known = new Map<Stage, Behaviour>()

  constructor(exercise: Exercise, profile: BoardProfile, model: Program, seed: number) {
    this.#exercise = exercise
    this.#profile = profile
    this.#model = model
    this.#seed = seed
    this.trial = new Trial(exercise, profile, model, seed)
  }

  /** How many mutants can be tried in a few seconds. */
  affordable(): number {
    const short = this.trial.stages.filter((stage) => usualTime(stage) <= longCase)
    // Most mutants are caught before a second long case would be run.
    const long = this.trial.stages.find((stage) => usualTime(stage) > longCase)
    const costs = [...short, ...(long === undefined ? [] : [long])].map(
      (stage) => stage.checks.reduce((sum, { cost }) => sum + (costOfCheck[cost] ?? 0), usualTime(stage)) + runOverhead,
    )
    const cost = costs.reduce((sum, each) => sum + each, 0)
    return Math.max(fewest, Math.min(usual, Math.floor(workLimit / cost)))
  }

  fateOf(mutant: Mutant): Fate {
    const decided = new Set<string>()
    const failed = new Set<string>()
    let isSure = false
    for (const stage of this.trial.stages) {
      if (failed.size > 0 && usualTime(stage) > longCase) continue
      // A check that has failed needs no second run to fail on.
      const open = stage.checks.filter(({ id }) => !failed.has(id))
      for (const { id } of open) decided.add(id)
      if (open.length === 0) continue
      const caseRun = this.trial.run(stage, mutant.image, limitOf(stage))
      const isLate = caseRun.result.end.kind === 'budget-used-up' && caseRun.result.tStates < stage.request.budget
      for (const check of open) if (!this.trial.isPassed(check, caseRun)) failed.add(check.id)
      if (failed.size > 0 && !isSure) isSure = !isLate || this.#isNeverEnding(stage, caseRun.request)
    }
    if (failed.size > 0 && !isSure) {
      const program = this.trial.programOf(mutant.image)
      isSure = !gradeProgram(program, this.#exercise, this.#profile, { seed: this.#seed }).isFullMarks
    }
    if (failed.size > 0 && isSure) return { mutant, what: 'caught', decided, failed, found: null }
    const found = this.#differenceOf(mutant)
    return { mutant, what: found === null ? 'same' : 'survived', decided, failed: new Set(), found }
  }

  /** Whether a run that was stopped early would not have come to its end later either, and a check needs the end. */
  #isNeverEnding(stage: Stage, request: Parameters<typeof run>[0]): boolean {
    if (!stage.checks.some(({ needsEnd }) => needsEnd)) return false
    const { kind } = run({ ...request, isWatchingWrites: false }).end
    return kind !== 'halted' && kind !== 'returned'
  }

  /** The first thing in which a mutant differs from the model answer, with these and with other drawn values. */
  #differenceOf(mutant: Mutant): Found | null {
    for (let i = 0; i <= otherSeeds; i++) {
      const seed = i === 0 ? this.#seed : (this.#seed ^ (0x1000_0000 + i)) >>> 0
      for (const stage of this.#trialOf(seed).stages) {
        if (i > 1 && usualTime(stage) > longCase) continue
        const model = this.#behaviourOfModel(stage, seed)
        const other = this.#behaviourOn(stage, seed, mutant)
        const difference = differenceBetween(model, other, [this.#model.image, mutant.image])
        if (difference === null) continue
        const { id, title } = stage.instance
        return { difference, caseId: stage.instance.of.id, title: `${title} (${id})`, seed, isOtherSeed: i > 0 }
      }
    }
    return null
  }

  #trialOf(seed: number): Trial {
    if (seed === this.#seed) return this.trial
    const known = this.#others.get(seed) ?? new Trial(this.#exercise, this.#profile, this.#model, seed)
    this.#others.set(seed, known)
    return known
  }

  #behaviourOfModel(stage: Stage, seed: number): Behaviour {
    const known = this.#known.get(stage) ?? this.#behaviourOn(stage, seed, this.#model)
    this.#known.set(stage, known)
    return known
  }

  #behaviourOn(stage: Stage, seed: number, { image }: Pick<Mutant, 'image'>): Behaviour {
    const caseRun = this.#trialOf(seed).run(stage, image, 2 * limitOf(stage))
    return behaviourOf(this.#exercise, caseRun, stage.instance.of.id)
  }
}

/** T-states that a mutant's run has at first. */
function limitOf(stage: Stage): number {
  return 3 * usualTime(stage) + 10_000
}
