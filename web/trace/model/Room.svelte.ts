import type { RegisterName } from '../../../core/exercise/index.ts'
import type { CheckResult } from '../../../core/grading/index.ts'
import type { Trace } from '../../../server/contract/index.ts'
import type { TraceLink } from '../worker/link.ts'
import type { TraceSubject } from '../worker/protocol.ts'
import { type Locator, readLocator } from './address.ts'
import { Asking, askedFlags } from './Asking.svelte.ts'
import { findingsOf } from './findings.ts'
import { type Keystroke, type TraceCommand, commandFor } from './keys.ts'
import type { LaneWish } from './lane-wish.ts'
import { LaneList } from './LaneList.svelte.ts'
import { TraceSession } from './TraceSession.svelte.ts'
import { Wish } from './Wish.svelte.ts'

/** The page of one submission's trace: which case is open, and what its keys and buttons do. */
export class Room {
  readonly trace: Trace
  readonly session: TraceSession
  isTable = $state(false)
  isHelpOpen = $state(false)
  isChoosingLanes = $state(false)
  readonly laneList: LaneList
  #caseId = $state('')
  #wish = $state.raw(new Wish({}))
  #asking = $state.raw<Asking | null>(null)

  /** `store` keeps which lanes are drawn. */
  constructor(trace: Trace, makeLink: () => TraceLink, store: Storage | null = null) {
    this.trace = trace
    this.laneList = new LaneList(store)
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

  /** Where the page stands, for the address. No step while a run is being opened. */
  get locator(): Locator {
    return { caseId: this.#caseId, step: this.session.view?.step ?? null }
  }

  /** Where the report says that the first thing went wrong; null when nothing did or there is no report. */
  get firstWrong(): { readonly caseId: string; readonly step: number } | null {
    return this.trace.report?.firstWrong ?? null
  }

  /** T-states on the axis of the open case at which a check was decided against the program. */
  get wrongTimes(): readonly number[] {
    return findingsOf(this.trace.report).flatMap(({ decidedAt }) =>
      decidedAt !== null && decidedAt.caseId === this.#caseId ? [decidedAt.t] : [],
    )
  }

  /** Opens at the step of the address; where it names none, at the first wrong one. */
  async enter(search: string): Promise<void> {
    const asked = readLocator(search)
    const known = this.trace.cases.find((each) => each.id === asked.caseId)
    const wrong = this.firstWrong
    const caseId = known?.id ?? wrong?.caseId ?? this.trace.cases[0]?.id ?? ''
    const step = asked.step ?? (wrong?.caseId === caseId ? wrong.step : 0)
    await this.#open(caseId, step)
  }

  /** Stands at a step of a case, opening the case where another is open. */
  async goTo(caseId: string, step: number): Promise<void> {
    if (caseId !== this.#caseId) await this.#open(caseId, step)
    else await this.session.go(step)
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
    await this.#open(this.#caseId, 0)
  }

  /** Why a register, or a flag (`flag Z`), is what it is at the cursor. */
  askWhy(name: string): void {
    const letter = /^flag (.)$/.exec(name)?.[1]
    const flag = askedFlags.find(({ name: each }) => each.startsWith(`flag ${letter}`))
    void this.#asking?.why(
      flag === undefined
        ? { kind: 'register', register: name.toLowerCase() as RegisterName }
        : { kind: 'flag', flag: flag.id },
    )
  }

  /** Why a check of the report was not passed, in the case where it was decided. */
  async askCheck(check: CheckResult): Promise<void> {
    const at = check.decidedAt
    if (at !== null) await this.goTo(at.caseId, at.step)
    await this.#asking?.ask({ kind: 'check', check })
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
        return firstWrong === null ? undefined : this.goTo(firstWrong.caseId, firstWrong.step)
      case 'zoom':
        return session.view?.zoom(command.factor)
      case 'pan':
        return session.view?.pan(command.share)
      case 'show-whole':
        return session.view?.showWhole()
      case 'show-step':
        return session.view?.showStep()
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

  async #open(caseId: string, step: number): Promise<void> {
    this.#caseId = caseId
    const { program, board, exercise, seed } = this.trace
    const subject: TraceSubject = { text: program.text, format: program.format, board, exercise, caseId, seed }
    await this.session.open(subject, step)
    const symbols = this.session.overview?.symbols ?? {}
    this.#wish = new Wish(symbols)
    this.#asking = new Asking(this.session, symbols)
    await Promise.all(this.laneList.wishes.map((wish) => this.session.addLane(wish)))
  }
}
