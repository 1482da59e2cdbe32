import type { Diagnosis, ServerMessage } from '../../server/contract/index.ts'
import type { Api } from './api.ts'
import { Resource } from './Resource.svelte.ts'

/** The search for the causes of one failed hand-in, from the moment it is looked at until it has ended. */
export class FollowDiagnosis {
  readonly resource: Resource<Diagnosis>
  readonly #id: string

  constructor(api: Api, submissionId: string) {
    this.#id = submissionId
    this.resource = new Resource(() =>
      api.call('GET /api/submissions/:submissionId/diagnosis', { params: { submissionId } }),
    )
  }

  get diagnosis(): Diagnosis | null {
    return this.resource.value
  }

  get isLooking(): boolean {
    return this.diagnosis?.state === 'looking'
  }

  hear(message: ServerMessage): void {
    if (message.kind === 'refetch') void this.resource.load()
    // The search may have ended between reading the page and watching: nobody says so again.
    if (message.kind === 'watching-submission' && message.submission.id === this.#id) {
      const hasEnded = message.submission.diagnosis === 'ready' || message.submission.diagnosis === 'failed'
      if (hasEnded && (this.isLooking || this.resource.isLoading)) void this.resource.load()
    }
    if (message.kind === 'diagnosis-ready' && message.submissionId === this.#id) void this.resource.load()
  }

  /** To be called now and then while nothing else would say that it has ended. */
  poll(isLive: boolean): void {
    if (this.isLooking && !isLive) void this.resource.load()
  }
}
