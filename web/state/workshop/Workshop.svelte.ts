import type { ProbeProgress } from '../../../core/diagnosis/index.ts'
import type { WorkshopProgress, WorkshopReply, WorkshopResult, WorkshopTask } from './protocol.ts'

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
  #ondone: ((result: WorkshopResult) => void) | null = null
  #task = $state.raw<WorkshopTask | null>(null)
  #isRunning = $state(false)
  #isStopped = $state(false)
  #progress = $state.raw<WorkshopProgress | null>(null)
  #result = $state.raw<WorkshopResult | null>(null)
  #fault = $state.raw<string | null>(null)

  constructor(open: () => WorkshopDesk) {
    this.#open = open
  }

  /** The last task begun. */
  get task(): WorkshopTask | null {
    return this.#task
  }

  get isRunning(): boolean {
    return this.#isRunning
  }

  /** The last task was stopped before its end; its progress is what is known. */
  get isStopped(): boolean {
    return this.#isStopped
  }

  get progress(): WorkshopProgress | null {
    return this.#progress
  }

  /** What the last task gave; of one still running what is known already, if it tells that. */
  get result(): WorkshopResult | null {
    return this.#result
  }

  /** Why the last task did not come to an end. */
  get fault(): string | null {
    return this.#fault
  }

  /** Begins a task; one under way is dropped. `ondone` hears of its end, unless it fails or is stopped. */
  start(task: WorkshopTask, ondone?: (result: WorkshopResult) => void): void {
    this.#clear()
    this.#ondone = ondone ?? null
    this.#task = task
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
    if (reply.kind === 'fault') this.#fault = reply.message
    else this.#result = reply.result
    if (reply.kind === 'so-far') return
    const ondone = this.#ondone
    this.#clear()
    if (reply.kind === 'done') ondone?.(reply.result)
  }

  #clear(): void {
    this.#isRunning = false
    this.#ondone = null
    if (this.#desk === null) return
    this.#desk.onmessage = null
    this.#desk.terminate()
    this.#desk = null
  }
}

/** Percent of the mutants tried so far that a check caught, in two places; null before the first. */
export function scoreSoFar({
  caught = 0,
  survived = 0,
}: Partial<Pick<ProbeProgress, 'caught' | 'survived'>>): number | null {
  const changing = caught + survived
  return changing === 0 ? null : Math.floor((10_000 * caught) / changing) / 100
}
