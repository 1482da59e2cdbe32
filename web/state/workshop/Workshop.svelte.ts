import type { ProbeProgress } from '../../../core/diagnosis/index.ts'
import type { WorkshopReply, WorkshopResult, WorkshopTask } from './protocol.ts'

/** What of a Worker is used; a test passes its own. */
export interface WorkshopDesk {
  onmessage: ((event: MessageEvent<WorkshopReply>) => void) | null
  postMessage(task: WorkshopTask): void
  terminate(): void
}

/** One thing tried out at a time, on a desk of its own (a web worker) that is cleared when it is done or stopped. */
export class Workshop {
  readonly #open: () => WorkshopDesk
  #desk: WorkshopDesk | null = null
  #isRunning = $state(false)
  #isStopped = $state(false)
  #progress = $state.raw<ProbeProgress | null>(null)
  #result = $state.raw<WorkshopResult | null>(null)
  #fault = $state.raw<string | null>(null)

  constructor(open: () => WorkshopDesk) {
    this.#open = open
  }

  get isRunning(): boolean {
    return this.#isRunning
  }

  /** The last task was stopped before its end; its progress is what is known. */
  get isStopped(): boolean {
    return this.#isStopped
  }

  get progress(): ProbeProgress | null {
    return this.#progress
  }

  /** What the last task that came to its end gave. */
  get result(): WorkshopResult | null {
    return this.#result
  }

  /** Why the last task did not come to an end. */
  get fault(): string | null {
    return this.#fault
  }

  /** Begins a task; one under way is dropped. */
  start(task: WorkshopTask): void {
    this.#clear()
    this.#isStopped = false
    this.#progress = null
    this.#result = null
    this.#fault = null
    this.#isRunning = true
    this.#desk = this.#open()
    this.#desk.onmessage = ({ data }) => this.#hear(data)
    this.#desk.postMessage(task)
  }

  stop(): void {
    this.#isStopped = this.#isRunning
    this.#clear()
  }

  #hear(reply: WorkshopReply): void {
    if (reply.kind === 'progress') {
      this.#progress = reply.progress
      return
    }
    if (reply.kind === 'done') this.#result = reply.result
    else this.#fault = reply.message
    this.#clear()
  }

  #clear(): void {
    this.#isRunning = false
    if (this.#desk === null) return
    this.#desk.onmessage = null
    this.#desk.terminate()
    this.#desk = null
  }
}

/** Percent of the mutants tried so far that a check caught, in two places; null before the first. */
export function scoreSoFar({ caught, survived }: Pick<ProbeProgress, 'caught' | 'survived'>): number | null {
  const changing = caught + survived
  return changing === 0 ? null : Math.floor((10_000 * caught) / changing) / 100
}
