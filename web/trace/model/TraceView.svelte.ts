import { type Span, clampSpan, lengthOf, panSpan, spanBetween, spanShowing, zoomSpan } from './span.ts'

/** How long a run was: both ends of every scale. */
export interface RunLength {
  readonly steps: number
  readonly tStates: number
}

/**
 * Where one looks in a run: the step, the window on the time axis, and a stretch marked in it. It knows nothing of
 * registers, workers or pixels. Steps count from 0 (before the first instruction) to `run.steps` (after the last).
 */
export class TraceView {
  readonly run: RunLength
  readonly whole: Span
  #step = $state(0)
  #t = $state(0)
  #window = $state.raw<Span>({ from: 0, to: 1 })
  #selection = $state.raw<Span | null>(null)

  constructor(run: RunLength) {
    this.run = run
    this.whole = { from: 0, to: Math.max(1, run.tStates) }
    this.#window = this.whole
  }

  get step(): number {
    return this.#step
  }

  /** T-state at which the instruction at the cursor begins. */
  get t(): number {
    return this.#t
  }

  get window(): Span {
    return this.#window
  }

  get selection(): Span | null {
    return this.#selection
  }

  get isAtStart(): boolean {
    return this.#step === 0
  }

  get isAtEnd(): boolean {
    return this.#step === this.run.steps
  }

  /** How many times the window is wider than the run would need: 1 shows all of it. */
  get magnification(): number {
    return lengthOf(this.whole) / lengthOf(this.#window)
  }

  /** The nearest step that exists. */
  clamp(step: number): number {
    return Math.min(Math.max(Math.trunc(step), 0), this.run.steps)
  }

  /** Stands at `step`, which begins at `t`; the window follows where it would be outside. */
  seek(step: number, t: number): void {
    this.#step = this.clamp(step)
    this.#t = Math.min(Math.max(t, 0), this.run.tStates)
    const shown = Math.min(this.#t, this.whole.to - 1)
    this.#window = spanShowing(this.#window, shown, this.whole)
  }

  look(window: Span): void {
    this.#window = clampSpan(window, this.whole)
  }

  /** Below 1 looks closer. Keeps `about` in its place; by default the cursor if it is in sight, else the middle. */
  zoom(factor: number, about: number = this.#anchor()): void {
    this.#window = zoomSpan(this.#window, factor, about, this.whole)
  }

  /** By a share of the window: 0.5 is half a window later. */
  pan(share: number): void {
    this.#window = panSpan(this.#window, share * lengthOf(this.#window), this.whole)
  }

  showWhole(): void {
    this.#window = this.whole
  }

  /** So close that the instruction at the cursor and its neighbours can be told apart. */
  showStep(): void {
    const wide = 160
    this.#window = clampSpan({ from: this.#t - wide / 3, to: this.#t + (wide * 2) / 3 }, this.whole)
  }

  showSelection(): void {
    if (this.#selection === null) return
    const margin = lengthOf(this.#selection) * 0.05
    this.look({ from: this.#selection.from - margin, to: this.#selection.to + margin })
  }

  /** Marks a stretch, given in either direction; one without length unmarks. */
  select(a: number, b: number): void {
    const span = spanBetween(Math.max(0, Math.min(a, this.whole.to)), Math.max(0, Math.min(b, this.whole.to)))
    this.#selection = lengthOf(span) < 1 ? null : span
  }

  unselect(): void {
    this.#selection = null
  }

  #anchor(): number {
    const { from, to } = this.#window
    return this.#t >= from && this.#t <= to ? this.#t : (from + to) / 2
  }
}
