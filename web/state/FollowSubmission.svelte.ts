import type { Progress, ServerMessage, Submission } from '../../server/contract/index.ts'
import type { Api } from './api.ts'
import type { Live } from './Live.svelte.ts'
import { Resource } from './Resource.svelte.ts'

/** Milliseconds between two looks while a report is awaited and the live connection is not there. */
export const pollEvery = 2000

/** One submission from its receipt to its report: live news moves it on, polling stands in where there are none. */
export class FollowSubmission {
  readonly resource: Resource<Submission>
  readonly #live: Live
  readonly #id: string
  #progress = $state.raw<Progress | null>(null)

  constructor(api: Api, live: Live, submissionId: string) {
    this.#live = live
    this.#id = submissionId
    this.resource = new Resource(() => api.call('GET /api/submissions/:submissionId', { params: { submissionId } }))
  }

  get submission(): Submission | null {
    return this.resource.value
  }

  /** How many cases have run; null when it is not running or nothing was heard yet. */
  get progress(): Progress | null {
    return this.#progress
  }

  get isUnderWay(): boolean {
    const state = this.submission?.state
    return state === 'waiting' || state === 'running'
  }

  /** Listens until the function it returns is called. */
  follow(): () => void {
    return this.#live.watchSubmission(this.#id, (message) => this.hear(message))
  }

  /** To be called every `pollEvery` milliseconds: looks again when nothing else would say so. */
  poll(): void {
    if (this.isUnderWay && this.#live.state !== 'live') void this.resource.load()
  }

  hear(message: ServerMessage): void {
    switch (message.kind) {
      case 'submission-running':
        if (message.submissionId === this.#id) this.#running(message.progress)
        return
      case 'submission-waiting':
        if (message.submissionId === this.#id && this.submission?.state === 'waiting')
          this.resource.change((submission) => ({ ...submission, wait: message.wait }))
        return
      case 'watching-submission':
        // What happened between reading the page and watching would otherwise never be heard.
        if (message.submission.id === this.#id && message.submission.state !== this.submission?.state)
          void this.resource.load()
        return
      case 'submission-graded':
      case 'submission-fault':
        if (message.submission.id === this.#id) void this.resource.load()
        return
      case 'review-changed':
        if (message.submissionId === this.#id) void this.resource.load()
        return
      case 'refetch':
        void this.resource.load()
        return
      default:
        return
    }
  }

  #running(progress: Progress | null): void {
    if (!this.isUnderWay) return
    this.#progress = progress
    this.resource.change((submission) => ({ ...submission, state: 'running', wait: null }))
  }
}
