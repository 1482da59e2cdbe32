import type { RegisterName } from '../../../core/exercise/index.ts'
import { startIn, type CheckResult } from '../../../core/grading/index.ts'
import type { Cause, Diagnosis, Note, Trace } from '../../../server/contract/index.ts'
import type { Resource } from '../../state/index.ts'
import type { TraceLink } from '../worker/link.ts'
import type { TraceSubject } from '../worker/protocol.ts'
import { type Locator, readLocator, writeLocator } from './address.ts'
import { Arrangement, type PanelName } from './Arrangement.svelte.ts'
import { Asking, askedFlags } from './Asking.svelte.ts'
import { findingsOf } from './findings.ts'
import { type Keystroke, type TraceCommand, commandFor } from './keys.ts'
import type { LaneWish } from './lane-wish.ts'
import { LaneList } from './LaneList.svelte.ts'
import type { Pin } from './NoteBook.svelte.ts'
import { SideBySide } from './SideBySide.svelte.ts'
import { type Subject, subjectOf } from './subject.ts'
import { TraceSession } from './TraceSession.svelte.ts'
import { Wish } from './Wish.svelte.ts'

/** What *Go there* went to: marked in listing, axis and panels until one goes on. */
export interface Pointed {
  readonly caseId: string
  readonly step: number
  readonly subject: Subject | null
}

/** The page of one submission's trace: which case is open, and what its keys and buttons do. */
export class Room {
  readonly trace: Trace
  readonly session: TraceSession
  isTable = $state(false)
  isHelpOpen = $state(false)
  isChoosingLanes = $state(false)
  readonly laneList: LaneList
  readonly arrangement: Arrangement
  #caseId = $state('')
  #start = $state<number | undefined>(undefined)
  #wish = $state.raw(new Wish({}))
  #asking = $state.raw<Asking | null>(null)
  #beside = $state.raw<SideBySide | null>(null)
  #pointed = $state.raw<Pointed | null>(null)
  /** Counts the wishes to have the keyboard in a panel; what it is in takes it. */
  #called = $state.raw<{ readonly panel: PanelName } | null>(null)
  readonly #makeLink: () => TraceLink

  readonly #diagnosis: Resource<Diagnosis>

  /** `diagnosis` is loaded by whoever made it; `store` keeps which lanes are drawn. */
  constructor(
    trace: Trace,
    makeLink: () => TraceLink,
    diagnosis: Resource<Diagnosis>,
    store: Pick<Storage, 'getItem' | 'setItem'> | null = null,
  ) {
    this.trace = trace
    this.#diagnosis = diagnosis
    this.#makeLink = makeLink
    this.laneList = new LaneList(store)
    this.arrangement = new Arrangement(store)
    this.session = new TraceSession(makeLink)
  }

  get caseId(): string {
    return this.#caseId
  }

  get wish(): Wish {
    return this.#wish
  }

  /** Null until a run is open. */
  get asking(): Asking | null {
    return this.#asking
  }

  /** Likeliest first; none while they are looked for. */
  get causes(): readonly Cause[] {
    return this.#diagnosis.value?.causes ?? []
  }

  get cards(): Diagnosis['cards'] {
    return this.#diagnosis.value?.cards ?? {}
  }

  get isLookingForCauses(): boolean {
    return this.#diagnosis.value?.state === 'looking'
  }

  /** The search for causes has ended meanwhile. */
  lookAgain(): void {
    void this.#diagnosis.load()
  }

  /** Where the page stands, for the address. No step while a run is being opened. */
  get locator(): Locator {
    const isUsual = this.#start === undefined || this.#start === this.#usualStart(this.#caseId)
    const start = isUsual ? {} : { start: this.#start }
    return { caseId: this.#caseId, step: this.session.view?.step ?? null, window: null, marked: null, ...start }
  }

  /** The same with what is in view on the time axis, as a query without its question mark. */
  get viewText(): string {
    const { view } = this.session
    const isWhole = view === null || view.magnification === 1
    const window = isWhole ? null : view.window
    return writeLocator('', { ...this.locator, window, marked: view?.selection ?? null }).slice(1)
  }

  /** Where the report says that the first thing went wrong; null when nothing did or there is no report. */
  get firstWrong(): NonNullable<Trace['report']>['firstWrong'] {
    return this.trace.report?.firstWrong ?? null
  }

  /** T-states on the axis of the open case at which the causes show. */
  get causeTimes(): readonly number[] {
    return this.causes.flatMap(({ caseId, t }) => (caseId === this.#caseId && t !== null ? [t] : []))
  }

  /** T-states on the axis of the open case at which a check was decided against the program. */
  get wrongTimes(): readonly number[] {
    return findingsOf(this.trace.report).flatMap(({ decidedAt }) =>
      decidedAt !== null && decidedAt.caseId === this.#caseId ? [decidedAt.t] : [],
    )
  }

  /**
   * Opens at the step of the address. Where it names none: at the first event that the model answer has otherwise, for
   * those who were sent one, else where the first check was decided.
   */
  async enter(search: string): Promise<void> {
    const asked = readLocator(search)
    const known = this.trace.cases.find((each) => each.id === asked.caseId)
    const wrong = this.firstWrong
    const caseId = known?.id ?? wrong?.caseId ?? this.trace.cases[0]?.id ?? ''
    const step = asked.step ?? (wrong?.caseId === caseId ? wrong.step : 0)
    await this.#open(caseId, step, asked.start)
    this.#look(asked)
    if (asked.step === null && wrong?.caseId === caseId) await this.#goToParting(step)
  }

  /** To where the run parts from the model answer's, unless somebody went on from `step` meanwhile. */
  async #goToParting(step: number): Promise<void> {
    const { model } = this.trace
    if (model === null) return
    const parting = await this.session.partingStep({ ...this.#subject, ...model, isStaffAnswer: true })
    if (parting !== null && this.session.view?.step === step) await this.session.go(parting)
  }

  /** Goes to where a note was pinned, with the view that its author had. */
  async show({ caseId, step, view }: Pick<Note, 'caseId' | 'step' | 'view'>): Promise<void> {
    await this.point({ caseId: caseId ?? this.#caseId, step: step ?? 0 })
    if (view !== null) this.#look(readLocator(view))
  }

  /** What a note written now is pinned to: the marked stretch, or the step. */
  async pin(): Promise<Pin> {
    const { view } = this.session
    const at = { caseId: this.#caseId, step: view?.step ?? 0, toStep: null, view: this.viewText }
    const steps = await this.session.markedSteps()
    return steps === null ? at : { ...at, step: steps.from, toStep: steps.to }
  }

  #look({ window, marked }: Locator): void {
    if (window !== null) this.session.view?.look(window)
    if (marked !== null) void this.session.select(marked.from, marked.to)
  }

  /** Stands at a step of a case, opening the case where another is open. */
  async goTo(caseId: string, step: number, start?: number): Promise<void> {
    const isOther = caseId !== this.#caseId || (start !== undefined && start !== this.#start)
    if (isOther) await this.#open(caseId, step, start)
    else await this.session.go(step)
  }

  /** Marked while one stands where it is; null once one has gone on. */
  get pointed(): Pointed | null {
    const { view } = this.session
    const it = this.#pointed
    return it !== null && it.caseId === this.#caseId && it.step === view?.step ? it : null
  }

  /** Goes to a step and marks what stands there: its line, its place on the axis, and what `check` is about. */
  async point(at: { readonly caseId: string; readonly step: number; readonly start?: number }, check?: CheckResult) {
    await this.goTo(at.caseId, at.step, at.start)
    const subject = check === undefined ? null : subjectOf(check, this.trace)
    this.#pointed = { caseId: at.caseId, step: this.session.view?.step ?? at.step, subject }
    if (subject?.kind === 'memory' && !this.arrangement.hasMore) this.arrangement.shown = 'memory'
  }

  /** The panel that is to take the keyboard; a new object each time it is called for. */
  get called(): { readonly panel: PanelName } | null {
    return this.#called
  }

  /** Opens a panel and gives it the keyboard. */
  call(panel: PanelName): void {
    this.arrangement.shown = panel
    this.#called = { panel }
  }

  /** Another case, at its first wrong step where it has one. */
  async chooseCase(caseId: string): Promise<void> {
    const decided = findingsOf(this.trace.report).flatMap(({ decidedAt }) =>
      decidedAt?.caseId === caseId ? [decidedAt.step] : [],
    )
    await this.#open(caseId, decided.length === 0 ? 0 : Math.min(...decided))
  }

  /** Tries again after a refusal or when the opening was given up. */
  async again(): Promise<void> {
    await this.#open(this.#caseId, 0, this.#start)
  }

  /** Why a register, or a flag (`flag Z`), is what it is at the cursor. */
  askWhy(name: string): void {
    const letter = /^flag (.)$/.exec(name)?.[1]
    const flag = askedFlags.find(({ name: each }) => each.startsWith(`flag ${letter}`))
    this.arrangement.shown = 'ask'
    void this.#asking?.why(
      flag === undefined
        ? { kind: 'register', register: name.toLowerCase() as RegisterName }
        : { kind: 'flag', flag: flag.id },
    )
  }

  askMemory(address: number): void {
    this.arrangement.shown = 'ask'
    void this.#asking?.why({ kind: 'memory', address })
  }

  askNever(address: number): void {
    this.arrangement.shown = 'ask'
    void this.#asking?.whyNever(address)
  }

  /** The next finding with a step, or the one before, round about. */
  async pointNext(way: 1 | -1): Promise<void> {
    const places = findingsOf(this.trace.report).flatMap((check) =>
      check.decidedAt === null ? [] : [{ check, at: check.decidedAt }],
    )
    if (places.length === 0) return
    const here = places.findIndex(({ at }) => at.caseId === this.#caseId && at.step === this.session.view?.step)
    const next = places[here < 0 ? 0 : (here + way + places.length) % places.length]
    if (next !== undefined) await this.point(next.at, next.check)
  }

  /** Why a check of the report was not passed, in the case where it was decided. */
  async askCheck(check: CheckResult): Promise<void> {
    const at = check.decidedAt
    if (at !== null) await this.point(at, check)
    this.arrangement.shown = 'ask'
    await this.#asking?.ask({ kind: 'check', check })
  }

  /** The model answer beside the hand-in; null while it is not shown. */
  get beside(): SideBySide | null {
    return this.#beside
  }

  /** Shows the model answer beside the hand-in, or no longer; only for those who were sent one. */
  async turnBeside(): Promise<void> {
    const { model } = this.trace
    if (this.#beside !== null || model === null) {
      this.#beside?.close()
      this.#beside = null
      return
    }
    const beside = new SideBySide(this.session, this.#makeLink)
    this.#beside = beside
    await beside.open({ ...this.#subject, ...model, isStaffAnswer: true }, this.#subject)
    const difference = beside.comparison?.difference ?? null
    if (this.#beside === beside && difference !== null) await this.goBeside(difference.at.found.step)
  }

  /** To a step of the hand-in, the model answer following to the same event. */
  async goBeside(step: number): Promise<void> {
    await this.session.go(step)
    await this.#beside?.follow(this.session.view?.t ?? 0)
  }

  close(): void {
    this.#beside?.close()
    this.session.close()
  }

  async addLane(wish: LaneWish): Promise<void> {
    if (this.laneList.add(wish)) await this.session.addLane(wish)
  }

  find(direction: 'back' | 'on'): Promise<void> {
    const { target, name } = this.#wish
    return target === null ? Promise.resolve() : this.session.find(direction, target, name)
  }

  over(): Promise<void> {
    return this.session.find('on', { kind: 'same-depth' }, 'return of this call')
  }

  /** Whether the key was ours. */
  press(stroke: Keystroke): boolean {
    const command = commandFor(stroke)
    if (command === null || this.session.view === null) return false
    void this.perform(command)
    return true
  }

  async perform(command: TraceCommand): Promise<void> {
    const { session, firstWrong } = this
    switch (command.kind) {
      case 'by':
        return session.by(command.steps)
      case 'first':
        return session.first()
      case 'last':
        return session.last()
      case 'over':
        return this.over()
      case 'find':
        return this.find(command.direction)
      case 'port-write':
        return session.find(command.direction, { kind: 'port-write', port: null }, 'write to a port')
      case 'first-wrong':
        return firstWrong === null ? undefined : this.point(firstWrong, this.#checkNamed(firstWrong.checkId))
      case 'finding':
        return this.pointNext(command.way)
      case 'findings':
        this.arrangement.isStripOpen = !this.arrangement.isStripOpen
        return
      case 'panel':
        return this.call(command.panel)
      case 'zoom':
        return session.view?.zoom(command.factor)
      case 'pan':
        return session.view?.pan(command.share)
      case 'show-whole':
        return session.view?.showWhole()
      case 'show-step':
        return session.view?.showStep()
      case 'beside':
        return this.turnBeside()
      case 'lanes':
        this.isChoosingLanes = !this.isChoosingLanes
        return
      case 'table':
        this.isTable = !this.isTable
        return
      case 'help':
        this.isHelpOpen = true
        return
    }
  }

  #checkNamed(id: string): CheckResult | undefined {
    return this.trace.report?.checks.find((check) => check.id === id)
  }

  get #subject(): TraceSubject {
    const { program, board, exercise, seed } = this.trace
    return {
      text: program.text,
      format: program.format,
      board,
      exercise,
      caseId: this.#caseId,
      seed,
      start: this.#start,
    }
  }

  #usualStart(caseId: string): number | undefined {
    const { report } = this.trace
    return report === null ? undefined : startIn(report, caseId)
  }

  async #open(caseId: string, step: number, start = this.#usualStart(caseId)): Promise<void> {
    this.#beside?.close()
    this.#beside = null
    this.#caseId = caseId
    this.#start = start
    await this.session.open(this.#subject, step)
    const symbols = this.session.overview?.symbols ?? {}
    this.#wish = new Wish(symbols)
    this.#asking = new Asking(this.session, symbols)
    await Promise.all(this.laneList.wishes.map((wish) => this.session.addLane(wish)))
  }
}
