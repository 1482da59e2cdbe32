import type { ReviewItem, ReviewQueue as Page, ServerMessage } from '../../server/contract/index.ts'
import { Pages } from './Pages.svelte.ts'

/** What waits for an assistant, filtered on the page. */
export class ReviewQueue {
  readonly pages: Pages<ReviewItem, Page>
  #exercise = $state('')
  #reason = $state('')
  #settled = $state(0)

  constructor(fetchPage: (after: string | null) => Promise<Page>) {
    this.pages = new Pages(fetchPage)
  }

  /** Id of the exercise to show; '' for all. */
  get exercise(): string {
    return this.#exercise
  }

  set exercise(id: string) {
    this.#exercise = id
  }

  /** The reason to show; '' for all. */
  get reason(): string {
    return this.#reason
  }

  set reason(reason: string) {
    this.#reason = reason
  }

  get shown(): readonly ReviewItem[] {
    return this.pages.items.filter(
      (item) =>
        (this.#exercise === '' || item.submission.exerciseId === this.#exercise) &&
        (this.#reason === '' || item.reason === this.#reason),
    )
  }

  /** The exercises that occur, for a filter. */
  get exercises(): readonly { readonly id: string; readonly code: string; readonly title: string }[] {
    const all = this.pages.items.map(({ submission }) => ({
      id: submission.exerciseId,
      code: submission.exerciseCode,
      title: submission.exerciseTitle,
    }))
    return all
      .filter((one, at) => all.findIndex((other) => other.id === one.id) === at)
      .sort((a, b) => a.code.localeCompare(b.code, undefined, { numeric: true }))
  }

  /** All that wait, also those on pages not fetched yet. */
  get total(): number {
    return Math.max(0, (this.pages.first.value?.total ?? 0) - this.#settled)
  }

  async load(): Promise<void> {
    await this.pages.load()
    this.#settled = 0
  }

  /** A hand-in was settled: it leaves at once. */
  settle(submissionId: string): void {
    const before = this.pages.items.length
    this.pages.remove((item) => item.submission.id === submissionId)
    this.#settled += before - this.pages.items.length
  }

  hear(message: ServerMessage): void {
    if (message.kind === 'review-changed' && message.state === 'settled') this.settle(message.submissionId)
    else if (message.kind === 'refetch' || message.kind === 'submission-graded' || message.kind === 'submission-fault')
      void this.load()
    else if (message.kind === 'review-changed') void this.load()
  }
}
