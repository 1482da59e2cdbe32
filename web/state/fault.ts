import type { Fault, ProblemDetails } from '../../server/contract/index.ts'

/**
 * A request that did not succeed. With `problem` the server has said why (RFC 9457); without it there was no answer, or
 * one that is not from Hexcairn.
 */
export class ApiFault extends Error {
  readonly problem: ProblemDetails | null
  readonly status: number | null
  /** When the same request may succeed, where somebody has to wait for it; by the clock of this computer. */
  readonly mayTryAgain: Date | null

  constructor(problem: ProblemDetails | null, status: number | null, options?: ErrorOptions) {
    super(
      problem?.detail ?? (status === null ? 'No answer from the server.' : `Answer ${status} without a reason.`),
      options,
    )
    this.name = 'ApiFault'
    this.problem = problem
    this.status = status
    const seconds = status === 429 ? problem?.retryAfter : undefined
    this.mayTryAgain = seconds === undefined ? null : new Date(Date.now() + seconds * 1000)
  }

  get code(): string {
    return this.problem?.code ?? (this.status === null ? 'no-answer' : 'unknown-answer')
  }

  get title(): string {
    return (
      this.problem?.title ??
      (this.status === null ? 'The server cannot be reached' : 'The server does not answer as it should')
    )
  }

  get faults(): readonly Fault[] {
    return this.problem?.errors ?? []
  }

  /** The message for one field of a form: `/userName`. */
  at(pointer: string): string | null {
    return this.faults.find((fault) => fault.pointer === pointer)?.message ?? null
  }

  /** What the reader can do now; null where `detail` has said it. */
  get advice(): string | null {
    if (this.status === null)
      return 'Look at the network connection. Nothing typed here is lost; try again when it is back.'
    if (this.status === 401) return 'Sign in again; a program you were writing is kept as a draft.'
    if (this.status === 403) return 'Ask the instructor of the course for the right to do this.'
    if (this.status === 404) return 'The address may be mistyped, or it belongs to a course you are not in.'
    if (this.status === 409) return 'Read the page anew, then do it again.'
    if (this.mayTryAgain !== null) return `You can try again from ${timeOf(this.mayTryAgain)} on.`
    if (this.status === 429) return 'Wait a moment, then try again.'
    if (this.status >= 500 && this.problem !== null)
      return `Try again. If it stays so, give the operator this number: ${this.problem.instance}.`
    if (this.status >= 500) return 'Try again in a moment. If it stays so, tell the operator.'
    return null
  }

  /** Whether the same request may succeed later without a change. */
  get isPassing(): boolean {
    return this.status === null || this.status === 429 || this.status >= 500
  }
}

function timeOf(when: Date): string {
  return when.toLocaleTimeString([], { hour: '2-digit', minute: '2-digit', second: '2-digit' })
}

export function toFault(error: unknown): ApiFault {
  return error instanceof ApiFault ? error : new ApiFault(null, null, { cause: error })
}
