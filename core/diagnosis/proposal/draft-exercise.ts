import { readProgram, type Program } from '../../assembler/index.ts'
import type { BoardProfile } from '../../board/index.ts'
import {
  caseInstances,
  endText,
  exerciseFor,
  parseExercise,
  staffReadOptionsFor,
  type DocumentProblem,
  type Exercise,
} from '../../exercise/index.ts'
import { gradeProgram } from '../../grading/index.ts'
import { imageSize, showCount } from '../../image/index.ts'
import { allAwaited, earlyEndProblem, endProblem, neededBudget, silentProblem } from './ending.ts'
import { neededEvents } from './needed-events.ts'
import { careIdeas, endIdeas, isGivenSheet, sheetIdeas } from './ideas.ts'
import { memoryIdeas } from './memory-ideas.ts'
import { documentOf, type Document } from './document.ts'
import type { Observed } from './observed.ts'
import { registerIdeas } from './register-ideas.ts'
import { drawnCase, readUnset } from './inputs.ts'
import { behaviourOnCase, type ModelBehaviour } from './model-behaviour.ts'
import { keyIdeas } from './key-ideas.ts'
import { lampIdeas } from './lamp-ideas.ts'
import { displayIdeas, interruptIdeas, portIdeas } from './output-ideas.ts'
import { soundIdeas } from './sound-ideas.ts'
import type { Draft, ExerciseDraft, Idea, ModelRun, Plain, Proposal, ProposeOptions } from './proposal.ts'
import { timeIdeas } from './time-ideas.ts'
import { wordIdeas } from './word-ideas.ts'

/**
 * Makes a complete exercise from a title, a task and a model answer: runs the model answer on every case, looks at what it
 * did, and proposes checks that it passes, with a fifth to spare for size and time. Groups, weights and hidden cases are
 * the usual ones. Nothing is certain but that the model answer gets full marks: the author reads and changes.
 */
export function draftExercise(draft: ExerciseDraft, profile: BoardProfile, options: ProposeOptions = {}): Draft {
  const drafting = new Drafting(draft, profile, options)
  return drafting.draft()
}

/** The proposals alone. */
export function proposeChecks(
  draft: ExerciseDraft,
  profile: BoardProfile,
  options: ProposeOptions = {},
): readonly Proposal[] {
  return draftExercise(draft, profile, options).proposals
}

class Drafting {
  readonly #draft: ExerciseDraft
  readonly #profile: BoardProfile
  readonly #options: ProposeOptions
  readonly #seed: number
  #cases: readonly unknown[]
  readonly #remarks: string[] = []
  /** A time that stands in the document though the author gave none. */
  #budget: string | null
  #events: number | null = null

  constructor(draft: ExerciseDraft, profile: BoardProfile, options: ProposeOptions) {
    this.#draft = draft
    this.#profile = profile
    this.#options = options
    this.#seed = options.seed ?? 0
    const own = draft.fields?.['cases']
    this.#cases = Array.isArray(own) && own.length > 0 ? own : [firstCase]
    this.#budget = draft.ending === 'runs-on' ? (draft.lasts ?? usualLength) : null
  }

  draft(): Draft {
    const bare = this.#document(this.#cases, [bareCheck])
    const parsed = parseExercise(bare)
    if (!parsed.isOk) return this.#failed(bare, parsed.problems)
    const exercise = exerciseFor(parsed.exercise, this.#seed)
    const program = readProgram(this.#draft.model, staffReadOptionsFor(exercise, this.#profile))
    if (!program.isOk || imageSize(program.image) === 0) return this.#failed(bare, modelProblems(program))
    const inTime = this.#runsInTime(exercise, program)
    const runs = inTime === null ? null : this.#runsWithRoom(inTime, program)
    if (runs === null) return { ...this.#failed(bare, []), isStopped: true }
    const awaited = allAwaited(runs)
    const problem = this.#problemOf(runs)
    if (problem !== null) {
      return { ...this.#failed(bare, [problem]), runs: this.#figures(runs), awaited, size: imageSize(program.image) }
    }
    const drawn = runs.every(({ instance }) => instance.of.draws.length === 0) ? drawnCase(runs) : null
    return this.#complete(program, runs, drawn)
  }

  #problemOf(runs: readonly ModelBehaviour[]): DocumentProblem | null {
    switch (this.#draft.ending ?? 'ends') {
      case 'ends':
        return endProblem(runs, this.#isTimerChosen())
      case 'runs-on':
        return earlyEndProblem(runs, this.#profile)
      case 'sheet':
        return null
    }
  }

  /** The author has said that the timer runs or that it does not. */
  #isTimerChosen(): boolean {
    const given = [this.#draft.fields ?? {}, ...this.#cases].map(
      (each) => (each as { readonly given?: { readonly timer?: unknown } }).given,
    )
    return given.some((each) => each?.timer !== undefined)
  }

  /** The runs; where one was stopped too soon and the author gave no budget, with one in which it ends. */
  #runsInTime(exercise: Exercise, program: Program): readonly ModelBehaviour[] | null {
    const runs = this.#runsWithInputs(exercise, program)
    if (runs === null || this.#budget !== null || this.#draft.fields?.['budget'] !== undefined) return runs
    this.#budget = this.#draft.ending === 'sheet' ? null : neededBudget(runs)
    if (this.#budget === null) return runs
    this.#remarks.push(`Your answer takes longer than the usual budget, so the exercise has one of ${this.#budget}.`)
    const parsed = parseExercise(this.#document(this.#cases, [bareCheck]))
    return parsed.isOk ? this.#runsWithInputs(exerciseFor(parsed.exercise, this.#seed), program) : runs
  }

  /** The runs; where the model answer makes more events than usual and the author gave no limit, with one that has room. */
  #runsWithRoom(runs: readonly ModelBehaviour[], program: Program): readonly ModelBehaviour[] | null {
    if (this.#draft.ending === 'sheet' || this.#draft.fields?.['events'] !== undefined) return runs
    this.#events = neededEvents(runs)
    if (this.#events === null) return runs
    this.#remarks.push(
      `Your answer makes many events, so the exercise allows ${showCount(this.#events, 'event')} in each run.`,
    )
    const parsed = parseExercise(this.#document(this.#cases, [bareCheck]))
    return parsed.isOk ? this.#runs(exerciseFor(parsed.exercise, this.#seed), program) : runs
  }

  /** With the drawn case where the model answer comes to its end on it too. */
  #complete(program: Program, runs: readonly ModelBehaviour[], drawn: Document | null): Draft {
    if (drawn !== null) {
      const cases = [...this.#cases, drawn]
      const parsed = parseExercise(this.#document(cases, [bareCheck]))
      const more = parsed.isOk ? this.#runs(exerciseFor(parsed.exercise, this.#seed), program) : null
      if (more?.every((each) => this.#isWhole(each)) === true) return this.#proposed(program, more, cases)
    }
    return this.#proposed(program, runs, this.#cases)
  }

  /** The runs; where no case was written, the first gives the bytes that the model answer found in RAM by chance. */
  #runsWithInputs(exercise: Exercise, program: Program): readonly ModelBehaviour[] | null {
    const runs = this.#runs(exercise, program)
    const [first] = runs ?? []
    const inputs = this.#cases[0] === firstCase && first !== undefined && this.#isWhole(first) ? readUnset(first) : []
    if (inputs.length === 0) return runs
    const cases = [{ ...firstCase, given: { memory: inputs } }]
    const parsed = parseExercise(this.#document(cases, [bareCheck]))
    if (!parsed.isOk) return runs
    this.#cases = cases
    return this.#runs(exerciseFor(parsed.exercise, this.#seed), program)
  }

  /** It came to its end, or is one that has none. */
  #isWhole(run: ModelBehaviour): boolean {
    return hasEnded(run) || this.#draft.ending === 'runs-on'
  }

  #runs(exercise: Exercise, program: Program): readonly ModelBehaviour[] | null {
    const instances = caseInstances(exercise)
    const runs: ModelBehaviour[] = []
    for (const [done, instance] of instances.entries()) {
      if (this.#options.onProgress?.({ done, total: instances.length }) === false) return null
      runs.push(behaviourOnCase(exercise, this.#profile, program, instance, this.#seed))
    }
    return runs
  }

  #proposed(program: Program, runs: readonly ModelBehaviour[], cases: readonly unknown[]): Draft {
    const ends =
      (this.#draft.fields?.['program'] as { ends?: string } | undefined)?.ends === 'return' ? 'return' : 'halt'
    const isCut = this.#draft.ending === 'runs-on'
    const observed: Observed = { brief: this.#draft.brief, ends, isCut, program, profile: this.#profile, runs }
    if (this.#draft.ending === 'sheet')
      return this.#drafted(program, runs, cases, this.#passing(sheetIdeas(observed), cases))
    const outputs = [displayIdeas, keyIdeas, soundIdeas, lampIdeas, portIdeas].flatMap((ideasOf) => ideasOf(observed))
    const memory = memoryIdeas(observed)
    const time = timeIdeas(observed, outputs.length > 0)
    const isWait = time.some(({ ways }) => ways.some((way) => 'near' in way))
    const hasResult = outputs.length > 0 || isWait || memory.some(({ group }) => group === 'function')
    const ideas = [
      ...(isCut ? [] : endIdeas(observed)),
      ...(isGivenSheet(observed) ? sheetIdeas(observed) : []),
      ...outputs,
      ...memory,
      ...registerIdeas(observed, hasResult),
      ...interruptIdeas(observed),
      ...(isCut ? [] : time),
      ...wordIdeas(observed),
      ...careIdeas(observed),
    ]
    const proposals = withResult(this.#passing(ideas, cases))
    if (isCut && !proposals.some(({ check }) => check['group'] === 'function')) {
      const document = this.#document(cases, [bareCheck])
      const awaited = allAwaited(runs)
      const problem = silentProblem(this.#budget ?? usualLength, awaited)
      return {
        ...this.#failed(document, [problem]),
        runs: this.#figures(runs),
        awaited,
        size: imageSize(program.image),
      }
    }
    return this.#drafted(program, runs, cases, proposals)
  }

  #drafted(
    program: Program,
    runs: readonly ModelBehaviour[],
    cases: readonly unknown[],
    proposals: readonly Proposal[],
  ): Draft {
    const chosen = proposals.filter(({ isChosen }) => isChosen).map(({ check }) => check)
    const document = this.#document(cases, chosen)
    const parsed = parseExercise(document)
    return {
      document,
      exercise: parsed.exercise,
      problems: parsed.problems,
      proposals,
      runs: this.#figures(runs),
      awaited: allAwaited(runs),
      remarks: this.#remarks,
      size: imageSize(program.image),
      isStopped: false,
    }
  }

  #figures(runs: readonly ModelBehaviour[]): readonly ModelRun[] {
    return runs.map(({ instance, tStates, stackDepth, recording }) => ({
      caseId: instance.id,
      tStates,
      stackDepth,
      end: endText(recording.result.end, recording.result.lastPc, this.#profile),
    }))
  }

  /** Of each idea the first way that the model answer passes; an idea with none is dropped. */
  #passing(ideas: readonly Idea[], cases: readonly unknown[]): readonly Proposal[] {
    const ways = ideas.flatMap((idea, i) => idea.ways.map((way, k) => ({ idea, way, id: `way-${i}-${k}` })))
    const readable = ways.filter(({ idea, way, id }) => {
      const check = { id, title: idea.title, group: idea.group, ...way }
      return parseExercise(this.#document(cases, [check])).isOk
    })
    const checks = readable.map(({ idea, way, id }) => ({ id, title: idea.title, group: idea.group, ...way }))
    const parsed = parseExercise(this.#document(cases, checks))
    if (!parsed.isOk) return []
    const exercise = exerciseFor(parsed.exercise, this.#seed)
    const program = readProgram(this.#draft.model, staffReadOptionsFor(exercise, this.#profile))
    const report = gradeProgram(program, exercise, this.#profile, { seed: this.#seed, isNearnessJudged: false })
    const passed = new Set(report.checks.filter(({ outcome }) => outcome === 'passed').map(({ id }) => id))
    return ideas.flatMap((idea): Proposal[] => {
      const way = readable.find((each) => each.idea === idea && passed.has(each.id))?.way
      if (way === undefined) return []
      const { id, title, group, weight, reason, isChosen = true } = idea
      return [{ check: { id, title, group, weight, ...way }, reason, isChosen }]
    })
  }

  #document(cases: readonly unknown[], checks: readonly Readonly<Record<string, unknown>>[]): Document {
    return documentOf(this.#draft, this.#profile, { budget: this.#budget, events: this.#events }, cases, checks)
  }

  #failed(document: Document, problems: readonly DocumentProblem[]): Draft {
    return {
      ...{ document, exercise: null, problems, proposals: [], runs: [], awaited: [] },
      ...{ remarks: this.#remarks, size: 0, isStopped: false },
    }
  }
}

/** Where nothing chosen looks at a result, what lies nearest to one is. */
function withResult(proposals: readonly Proposal[]): readonly Proposal[] {
  const isResult = ({ check }: Proposal): boolean => check['group'] === 'function' && check['kind'] !== 'run-end'
  if (proposals.some((proposal) => proposal.isChosen && isResult(proposal))) return proposals
  const nearest = ['buffer', 'registers', 'flags'].find((id) => proposals.some(({ check }) => check['id'] === id))
  return proposals.map((each) =>
    each.check['id'] === nearest || each.check['id'] === `${nearest}-others` ? { ...each, isChosen: true } : each,
  )
}

const bareCheck: Readonly<Record<string, Plain>> = { id: 'ends', kind: 'run-end', title: 'It ends', group: 'function' }

/** How much is looked at of a program that runs on. */
const usualLength = '4 s'

/** What a draft without cases is tried on. */
const firstCase = { id: 'run', title: 'The run' } as const

function hasEnded({ recording }: ModelBehaviour): boolean {
  const { kind } = recording.result.end
  return kind === 'halted' || kind === 'returned'
}

function modelProblems({ problems }: Program): readonly DocumentProblem[] {
  const found = problems.filter(({ severity }) => severity === 'error')
  const path = ['model', 'text']
  if (found.length === 0) {
    const message = 'The model answer has no bytes.'
    return [{ path, code: 'empty-program', found: 'no bytes', allowed: 'at least one byte', nearest: null, message }]
  }
  return found.map(({ code, found: was, allowed, message, at }) => ({
    path,
    code,
    found: was,
    allowed,
    nearest: null,
    message: `line ${at.line}: ${message}`,
  }))
}
