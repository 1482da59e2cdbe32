import type { Program } from '../../assembler/index.ts'
import { withinWork, type BoardProfile } from '../../board/index.ts'
import type { Addr, Byte, Registers } from '../../cpu/index.ts'
import { caseInstances, modelProgram, openValues, readOptionsFor, runRequestFor } from '../../exercise/index.ts'
import type { Check, Exercise, StartNumber } from '../../exercise/index.ts'
import { startIn, type CheckResult, type Report } from '../../grading/index.ts'
import {
  memoryAtStart,
  record,
  registersAtStart,
  run,
  type Recording,
  type RunRequest,
  type RunResult,
} from '../../run/index.ts'
import { repairByByte, type Repair } from '../nearest/repair.ts'
import { Draft, type DraftLine } from './draft.ts'
import { factsOf, type Fact } from './facts.ts'
import { likelySlips } from './keyed-slip.ts'
import { Mending } from './mending.ts'
import { sitesOf, type Site } from './sites.ts'

/** A check that the hand-in failed. */
export interface FailedCheck {
  readonly check: Check
  readonly result: CheckResult
}

/** A byte that the program left otherwise than the model answer. */
export interface WrongByte {
  readonly address: Addr
  readonly found: Byte
  readonly wanted: Byte
  readonly initial: Byte
  /** Whether `wanted` alone is right; else it is what the model answer left, one of several right values. */
  readonly isOne: boolean
}

/** In T-states. */
const longRun = 5_000_000

/** The search for the smallest edit. */
export type FindRepair = () => Repair | null

/**
 * What a detector may look at: the hand-in, its report, its runs. Made as it is asked for, then kept; so is the repair, which
 * is looked for once.
 */
export class Scene {
  readonly program: Program
  readonly exercise: Exercise
  readonly profile: BoardProfile
  readonly report: Report
  readonly seed: number
  readonly failed: readonly FailedCheck[]
  readonly draft: Draft
  readonly #views = new Map<string, RunView>()
  #sites: readonly Site[] | null = null
  #modelDraft: Draft | null | undefined = undefined
  readonly #findRepair: FindRepair
  #repair: Repair | null | undefined = undefined

  constructor(
    program: Program,
    exercise: Exercise,
    profile: BoardProfile,
    report: Report,
    seed: number,
    findRepair: FindRepair,
  ) {
    this.program = program
    this.exercise = exercise
    this.profile = profile
    this.report = report
    this.seed = seed
    this.#findRepair = findRepair
    this.draft = new Draft(program, readOptionsFor(exercise, profile))
    this.failed = report.checks.flatMap((result) => {
      const check = exercise.checks.find(({ id }) => id === result.id)
      const isFailed = result.outcome !== 'passed' && result.outcome !== 'skipped-by-gate'
      return isFailed && check !== undefined ? [{ check, result }] : []
    })
  }

  get mending(): Mending {
    this.#mending ??= new Mending(this.program, this.exercise, this.profile, this.report, this.seed)
    return this.#mending
  }
  #mending: Mending | null = null

  /** The edit of one byte or one instruction that makes everything right, where one was found. */
  get repair(): Repair | null {
    if (this.#repair === undefined) this.#repair = this.#undoneSlip() ?? this.#findRepair()
    return this.#repair
  }

  /** Looks for it with so much work, before anything else is asked. What is not found then is not looked for again. */
  lookForRepair(work: number): Repair | null {
    const found = withinWork(work, () => this.repair)
    if (found === null) this.#repair = null
    return this.repair
  }

  /** In a program that was keyed as bytes: a slip of the fingers that can be seen before it is run. */
  #undoneSlip(): Repair | null {
    if (this.isAssembly) return null
    this.mending.grant('slips')
    const slip = likelySlips(this.draft.image, this.profile).find(
      ({ image }) => this.mending.try(image)?.isFull === true,
    )
    const starts = this.draft.lines.map(({ address }) => address)
    return slip === undefined ? null : repairByByte(slip.edit, this.draft.image, slip.image, starts)
  }

  /** The case in which the trace opens, else the first in which a check failed. */
  get mainCase(): string {
    const { firstWrong, cases } = this.report
    const decided = this.failed.find(({ result }) => result.decidedAt !== null)?.result.decidedAt?.caseId
    return firstWrong?.caseId ?? decided ?? cases[0]?.id ?? ''
  }

  get main(): RunView {
    return this.view(this.mainCase)
  }

  /** The case in which the trace opens and two more of those that fail, or one where runs are long. */
  get views(): readonly RunView[] {
    const ids = [...new Set([this.mainCase, ...this.mending.failingCases])]
    return ids.slice(0, this.mending.usualTime > longRun ? 2 : 3).map((id) => this.view(id))
  }

  view(caseId: string): RunView {
    let view = this.#views.get(caseId)
    if (view === undefined) {
      view = new RunView(this, caseId)
      this.#views.set(caseId, view)
    }
    return view
  }

  /** The failed checks of these kinds. */
  failedOf(...kinds: readonly string[]): readonly FailedCheck[] {
    return this.failed.filter(({ check }) => kinds.includes(check.kind))
  }

  /** Failed checks of what the program does, and not only of how long or large it is. */
  get failedResults(): readonly FailedCheck[] {
    const form = ['size', 't-states', 'required-instruction', 'forbidden-instruction', 'forbidden-routine']
    // What came too late to be finished is no other mistake where the time itself is checked and failed.
    const isSlow = this.failed.some(
      ({ check, result }) => check.kind === 't-states' && result.outcome === 'out-of-tolerance',
    )
    return this.failed
      .filter(({ check }) => ![...form, 'calls-routine', 'stack-balance'].includes(check.kind))
      .filter(({ result }) => !isSlow || result.outcome !== 'budget-used-up')
  }

  /** Whether a check that looks at a run has failed, and not only at the bytes. */
  get isRunWrong(): boolean {
    const still = ['program-bytes', 'size', 'required-instruction', 'forbidden-instruction']
    return this.failed.some(({ check }) => !still.includes(check.kind))
  }

  get isFunctionWrong(): boolean {
    return this.failedResults.length > 0
  }

  /** The model answer as lines; null where there is none. */
  get modelDraft(): Draft | null {
    if (this.#modelDraft === undefined) {
      const answer = modelProgram(this.exercise, this.profile)
      this.#modelDraft = answer === null ? null : new Draft(answer, readOptionsFor(this.exercise, this.profile))
    }
    return this.#modelDraft
  }

  /** The instructions of the model answer; none where there is no model answer. */
  get modelLines(): readonly DraftLine[] {
    return this.modelDraft?.lines ?? []
  }

  /** The sites of the program, see `sitesOf`. */
  get sites(): readonly Site[] {
    this.#sites ??= sitesOf(this)
    return this.#sites
  }

  get isAssembly(): boolean {
    return this.program.format === 'assembly'
  }

  /** True where a hand-in of these bytes would be executed or read as the program. */
  isInside(address: Addr): boolean {
    return this.program.image.segments.some(({ start, bytes }) => address >= start && address < start + bytes.length)
  }
}

/** One case of a scene. */
export class RunView {
  readonly caseId: string
  readonly isVisible: boolean
  readonly request: RunRequest
  readonly #scene: Scene
  readonly #start: StartNumber | undefined
  #recording: Recording | null = null
  #facts: readonly Fact[] | null = null
  #own: readonly Fact[] | null = null
  #first: ReadonlyMap<Addr, Fact> | null = null
  #model: RunResult | null | undefined = undefined
  #initial: Uint8Array | null = null
  #wrong: readonly WrongByte[] | null = null

  constructor(scene: Scene, caseId: string) {
    const instance = caseInstances(scene.exercise).find((each) => each.id === caseId)
    this.caseId = caseId
    this.isVisible = instance?.isVisible ?? false
    this.#scene = scene
    const { exercise, profile, program, seed } = scene
    this.#start = startIn(scene.report, caseId)
    this.request = runRequestFor(exercise, profile, program, caseId, seed, this.#start)
  }

  get recording(): Recording {
    this.#recording ??= record(this.request)
    return this.#recording
  }

  get result(): RunResult {
    return this.recording.result
  }

  get facts(): readonly Fact[] {
    this.#facts ??= factsOf(this.recording, this.#scene.profile)
    return this.#facts
  }

  /** Instructions of the program alone, in the order of the run. */
  get own(): readonly Fact[] {
    this.#own ??= this.facts.filter(({ kind, text }) => kind === 'own' && text !== '')
    return this.#own
  }

  get initial(): Uint8Array {
    this.#initial ??= memoryAtStart(this.request)
    return this.#initial
  }

  get registers(): Registers {
    return registersAtStart(this.request)
  }

  /** The model answer's run of the case. */
  get model(): RunResult | null {
    if (this.#model === undefined) {
      const { exercise, profile, seed } = this.#scene
      const answer = modelProgram(exercise, profile)
      this.#model =
        answer === null ? null : run(runRequestFor(exercise, profile, answer, this.caseId, seed, this.#start))
    }
    return this.#model
  }

  /** The first instruction executed at an address. */
  firstAt(address: Addr): Fact | null {
    this.#first ??= new Map(this.own.toReversed().map((fact) => [fact.pc, fact]))
    return this.#first.get(address) ?? null
  }

  /** The last instruction that wrote to an address, as far as the facts go. */
  lastWriter(address: Addr): Fact | null {
    return this.facts.findLast(({ writes }) => writes.some((write) => write.address === address)) ?? null
  }

  /** Data that the program left otherwise than the model answer; the stack and the programs themselves left out. */
  get wrongBytes(): readonly WrongByte[] {
    this.#wrong ??= this.#compare()
    return this.#wrong
  }

  #compare(): readonly WrongByte[] {
    const { model, initial } = this
    if (model === null) return []
    const { profile, exercise } = this.#scene
    const { memory } = this.result
    const answer = modelProgram(exercise, profile)
    const top = this.request.given.registers.sp ?? profile.layout.stackTop
    const lowest = Math.min(this.result.lowestSp ?? top, top - 64)
    const isCode = (address: Addr): boolean =>
      this.#scene.isInside(address) ||
      (answer?.image.segments ?? []).some(({ start, bytes }) => address >= start && address < start + bytes.length)
    const wrong: WrongByte[] = []
    const { open, right } = this.#rightOtherwise(model)
    for (const { kind, from, to } of profile.memory) {
      if (kind !== 'ram') continue
      for (let address = from; address <= to; address++) {
        const found = memory[address] ?? 0
        const wanted = model.memory[address] ?? 0
        if (found === wanted || isCode(address) || (address >= lowest && address < top) || right.has(address)) continue
        wrong.push({ address, found, wanted, initial: initial[address] ?? 0, isOne: !open.has(address) })
      }
    }
    return wrong
  }

  /** Bytes for which a check takes several values, or looks at them earlier; and those of them that are right. */
  #rightOtherwise(model: RunResult): { readonly open: ReadonlySet<Addr>; readonly right: ReadonlySet<Addr> } {
    const { profile, exercise } = this.#scene
    const of = caseInstances(exercise).find(({ id }) => id === this.caseId)?.of.id ?? this.caseId
    const [open, right] = [new Set<Addr>(), new Set<Addr>()]
    for (const { place, isRight } of openValues(exercise, profile, of, () => model)) {
      if (place.kind !== 'bytes') continue
      for (let i = 0; i < place.length; i++) open.add(place.at + i)
      if (isRight(this.result)) for (let i = 0; i < place.length; i++) right.add(place.at + i)
    }
    return { open, right }
  }
}
