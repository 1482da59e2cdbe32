import type { SpeakerMeasure } from '../../../core/board/index.ts'
import type { Comparison } from '../../../core/diagnosis/index.ts'
import type { SearchTarget } from '../../../core/run/index.ts'
import { type TraceLink, TraceCancelled, TraceRefusal } from '../worker/link.ts'
import type { TraceFailure, TraceSubject } from '../worker/protocol.ts'
import type { TakenOut, TakeOut } from '../worker/take-out.ts'
import type { Lane } from './lane.ts'
import type { LaneWish } from './lane-wish.ts'
import type { Moment, TraceOverview } from './moment.ts'
import type { Answer, TraceQuestion } from './question.ts'
import { type Span } from './span.ts'
import { TraceView } from './TraceView.svelte.ts'

export type TraceStage =
  | { readonly kind: 'opening'; readonly phase: 'reading' | 'running' }
  | { readonly kind: 'open' }
  | { readonly kind: 'refused'; readonly failure: TraceFailure }
  | { readonly kind: 'cancelled' }

/**
 * One run under inspection: the view of it, the machine at the cursor, and the lanes as they arrive. Its verbs ask the
 * worker; while an answer is out, only the newest wish is kept, so a held arrow key never builds up a queue.
 */
export class TraceSession {
  readonly #makeLink: () => TraceLink
  #link: TraceLink | null = null
  #stage = $state.raw<TraceStage>({ kind: 'opening', phase: 'reading' })
  #overview = $state.raw<TraceOverview | null>(null)
  #view = $state.raw<TraceView | null>(null)
  #moment = $state.raw<Moment | null>(null)
  #lanes = $state.raw<readonly Lane[]>([])
  #walked = $state(0)
  #counts = $state.raw<ReadonlyMap<number, number> | null>(null)
  #measure = $state.raw<SpeakerMeasure | null>(null)
  #noteTimes = $state.raw<readonly number[]>([])
  #isSearching = $state(false)
  #said = $state('')
  /** Where the cursor is bound for while an answer is out. */
  #bound: number | null = null
  #isAsking = false

  constructor(makeLink: () => TraceLink) {
    this.#makeLink = makeLink
  }

  get stage(): TraceStage {
    return this.#stage
  }

  get overview(): TraceOverview | null {
    return this.#overview
  }

  get view(): TraceView | null {
    return this.#view
  }

  /** The machine at the cursor, or at the step before while the next is on its way. */
  get moment(): Moment | null {
    return this.#moment
  }

  get lanes(): readonly Lane[] {
    return this.#lanes
  }

  /** How much of the run the lanes of place and stack have been walked, 0 to 1. */
  get walked(): number {
    return this.#walked
  }

  /** How often each instruction ran, by its address; null until it is known. */
  get counts(): ReadonlyMap<number, number> | null {
    return this.#counts
  }

  /** The speaker over the marked stretch. */
  get measure(): SpeakerMeasure | null {
    return this.#measure
  }

  get isSearching(): boolean {
    return this.#isSearching
  }

  /** What a search came to, as a sentence; for those who do not see the cursor move. */
  get said(): string {
    return this.#said
  }

  /** Runs the subject and stands at `step`; an earlier run is let go, whatever its worker is doing. */
  async open(subject: TraceSubject, step: number): Promise<void> {
    this.close()
    const link = this.#makeLink()
    this.#link = link
    this.#stage = { kind: 'opening', phase: 'reading' }
    try {
      const { overview } = await link.ask(
        'open',
        { subject },
        {
          onPart: (part) => {
            if (part.kind === 'progress' && part.phase !== 'walking')
              this.#stage = { kind: 'opening', phase: part.phase }
          },
        },
      )
      const view = new TraceView(overview)
      const { moment } = await link.ask('at', { step: view.clamp(step) })
      view.seek(moment.step, moment.t)
      this.#overview = overview
      this.#view = view
      this.#moment = moment
      this.#stage = { kind: 'open' }
      void this.#drawLanes(link)
    } catch (error) {
      if (this.#link === link) this.#stage = refusal(error)
    }
  }

  /** Gives up what is being opened. */
  cancel(): void {
    if (this.#stage.kind === 'opening') this.close()
  }

  /** Ends the worker; what was shown is gone. */
  close(): void {
    this.#link?.close()
    this.#link = null
    this.#stage = { kind: 'cancelled' }
    this.#overview = null
    this.#view = null
    this.#moment = null
    this.#lanes = []
    this.#walked = 0
    this.#counts = null
    this.#noteTimes = []
    this.#measure = null
    this.#bound = null
    this.#isAsking = false
    this.#said = ''
  }

  async go(step: number): Promise<void> {
    const { view } = this
    const link = this.#link
    if (view === null || link === null) return
    this.#bound = view.clamp(step)
    if (this.#isAsking) return
    this.#isAsking = true
    try {
      for (let asked = -1; asked !== this.#bound;) {
        asked = this.#bound
        const { moment } = await link.ask('at', { step: asked })
        if (link !== this.#link) return
        this.#moment = moment
        view.seek(moment.step, moment.t)
      }
      this.#bound = null
    } catch (error) {
      if (link === this.#link) this.#stage = refusal(error)
    } finally {
      if (link === this.#link) this.#isAsking = false
    }
  }

  /** On by `steps` instructions, back with a negative number; counts from where the cursor is already bound for. */
  by(steps: number): Promise<void> {
    return this.go((this.#bound ?? this.#view?.step ?? 0) + steps)
  }

  first(): Promise<void> {
    return this.go(0)
  }

  last(): Promise<void> {
    return this.go(this.#view?.run.steps ?? 0)
  }

  /** Stands at the instruction that was being executed at T-state `t`. */
  async goToTime(t: number): Promise<void> {
    const link = this.#link
    if (link === null) return
    const { step } = await link.ask('step-at', { t: Math.max(0, Math.floor(t)) })
    if (link === this.#link) await this.go(step)
  }

  /** Runs on or back to the nearest step where `what` holds; stays and says so where there is none. */
  async find(direction: 'back' | 'on', what: SearchTarget, name: string): Promise<void> {
    const { view } = this
    const link = this.#link
    if (view === null || link === null || this.#isSearching) return
    this.#isSearching = true
    this.#said = ''
    try {
      const { step } = await link.ask('find', { from: view.step, direction, what })
      if (link !== this.#link) return
      const way = direction === 'on' ? 'after' : 'before'
      if (step === null) this.#said = `No ${name} ${way} step ${view.step}.`
      else await this.go(step)
    } finally {
      this.#isSearching = false
    }
  }

  /** Marks a stretch and measures the speaker over it. */
  async select(a: number, b: number): Promise<void> {
    const { view } = this
    const link = this.#link
    if (view === null || link === null) return
    view.select(a, b)
    const span = view.selection
    this.#measure = null
    if (span === null) return
    const { measure } = await link.ask('measure', { span })
    if (link === this.#link && view.selection === span) this.#measure = measure
  }

  /** One lane more; a lane of the same id is replaced. */
  async addLane(wish: LaneWish): Promise<void> {
    const link = this.#link
    if (link === null || this.#overview === null) return
    try {
      const { lane } = await link.ask('lane-of', { wish })
      if (link === this.#link) this.#lanes = [...this.#lanes.filter(({ id }) => id !== lane.id), lane]
    } catch (error) {
      if (link === this.#link) this.#stage = refusal(error)
    }
  }

  /** T-states at which the steps of `findNotes` begin. */
  get noteTimes(): readonly number[] {
    return this.#noteTimes
  }

  async findNotes(steps: readonly number[]): Promise<void> {
    const link = this.#link
    if (link === null) return
    const { times } = await link.ask('times-of', { steps })
    if (link === this.#link) this.#noteTimes = times
  }

  /** The first and the last step of the marked stretch; null where none is marked. */
  async markedSteps(): Promise<{ readonly from: number; readonly to: number } | null> {
    const span = this.#view?.selection ?? null
    const link = this.#link
    if (span === null || link === null) return null
    const at = async (t: number) => (await link.ask('step-at', { t: Math.max(0, Math.floor(t)) })).step
    return { from: await at(span.from), to: await at(Math.max(span.from, span.to - 1)) }
  }

  /** This run as the wanted one, held against another of the same case. Null where it was let go meanwhile. */
  async compare(found: TraceSubject): Promise<Comparison | null> {
    return this.#reply(async (link) => (await link.ask('compare', { found })).comparison)
  }

  /** The step at which this run parts from the model answer's; null where it does not, or was let go meanwhile. */
  async partingStep(model: TraceSubject): Promise<number | null> {
    return this.#reply(async (link) => (await link.ask('parting', { model })).step)
  }

  /** The run as a file. Null where it was let go meanwhile. */
  async takeOut(wish: TakeOut): Promise<TakenOut | null> {
    return this.#reply(async (link) => (await link.ask('take-out', { wish })).file)
  }

  /** Null where the run was let go meanwhile. */
  async ask(question: TraceQuestion): Promise<Answer | null> {
    return this.#reply(async (link) => (await link.ask('ask', { question })).answer)
  }

  unselect(): void {
    this.#view?.unselect()
    this.#measure = null
  }

  /** The speaker over a stretch as samples, at a level for headphones. */
  async sound(span: Span, sampleRate: number): Promise<Float32Array<ArrayBuffer> | null> {
    const link = this.#link
    if (link === null) return null
    return (await link.ask('sound', { span, sampleRate })).samples
  }

  /** What an opened run says; null where there is none or it was let go meanwhile. */
  async #reply<Reply>(put: (link: TraceLink) => Promise<Reply>): Promise<Reply | null> {
    const link = this.#link
    if (link === null || this.#overview === null) return null
    try {
      const reply = await put(link)
      return link === this.#link ? reply : null
    } catch (error) {
      if (link === this.#link) this.#stage = refusal(error)
      return null
    }
  }

  async #drawLanes(link: TraceLink): Promise<void> {
    try {
      await link.ask(
        'lanes',
        {},
        {
          onPart: (part) => {
            if (link !== this.#link) return
            if (part.kind === 'lane') this.#lanes = [...this.#lanes, part.lane]
            else this.#walked = part.share
          },
        },
      )
      if (link !== this.#link) return
      this.#walked = 1
      const { counts } = await link.ask('counts', {})
      if (link === this.#link) this.#counts = counts
    } catch (error) {
      if (link === this.#link && !(error instanceof TraceCancelled)) this.#stage = refusal(error)
    }
  }
}

function refusal(error: unknown): TraceStage {
  if (error instanceof TraceCancelled) return { kind: 'cancelled' }
  if (error instanceof TraceRefusal) return { kind: 'refused', failure: error.failure }
  throw error
}
