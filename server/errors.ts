import type { Fault, ProblemDetails, ProblemKind } from './contract/index.ts'

interface Kind {
  readonly status: number
  readonly title: string
  readonly explanation: string
}

/** Every answer from 400 up has one of these codes. Published at `/api/problems`. */
const table = {
  'invalid-request': {
    status: 400,
    title: 'The request does not have the form this address takes.',
    explanation: 'Each entry of errors points at a part that is missing, unknown or of the wrong form.',
  },
  'invalid-json': {
    status: 400,
    title: 'The request is no JSON document.',
    explanation: 'Bodies are JSON in UTF-8.',
  },
  'not-http': {
    status: 400,
    title: 'The request is no HTTP that this server understands.',
    explanation: 'The connection was closed.',
  },
  'request-timeout': {
    status: 408,
    title: 'The request did not arrive in time.',
    explanation: 'Its headers or its body came too slowly, or not at all. The connection was closed.',
  },
  'headers-too-large': {
    status: 431,
    title: 'The headers of the request are too large.',
    explanation: 'All headers together may have 16 KB. Delete the cookies of this site and try again.',
  },
  'idempotency-key-invalid': {
    status: 400,
    title: 'The Idempotency-Key header is too long or empty.',
    explanation: 'It takes 1 to 200 visible characters.',
  },
  'not-signed-in': {
    status: 401,
    title: 'Nobody is signed in.',
    explanation:
      'Sign in with POST /api/session; sessions end after an hour without use and after twelve hours in all.',
  },
  'wrong-sign-in': {
    status: 401,
    title: 'User name and password do not belong together.',
    explanation: 'For an unknown name and for a wrong password the answer is the same.',
  },
  'cross-site': {
    status: 403,
    title: 'The request came from another site.',
    explanation:
      'Requests that change something are taken from pages of this server only, and from programs without a browser.',
  },
  'not-allowed': {
    status: 403,
    title: 'Your role in this course does not allow this.',
    explanation: 'Instructors change the course; assistants review; students hand in and see their own work.',
  },
  'not-staff': {
    status: 403,
    title: 'Only instructors and assistants of this course may do this.',
    explanation: 'Ask an instructor of the course.',
  },
  'set-up-token-unknown': {
    status: 403,
    title: 'The set-up link is not valid.',
    explanation:
      'It works once, for a day. Start the server again to print a new one; it does so while no account exists.',
  },
  'password-link-unknown': {
    status: 403,
    title: 'The link for a new password is not valid.',
    explanation: 'It works once, for a day, and ends when a newer one is made. Ask for another one.',
  },
  'password-not-yours': {
    status: 403,
    title: 'You cannot make a link for this person.',
    explanation:
      'An instructor makes them for students and assistants of their own courses. For whoever teaches, or is in courses of others too, whoever runs the server does it: hexcairn password-link NAME.',
  },
  'taken-out-of-course': {
    status: 403,
    title: 'An instructor has taken you out of this course.',
    explanation: 'The join code lets you in no longer. Ask an instructor, who can bring you back.',
  },
  'exercise-not-open': {
    status: 403,
    title: 'The exercise is not open yet.',
    explanation: 'Its opening time is shown in the course.',
  },
  'exercise-closed': {
    status: 403,
    title: 'The exercise is closed.',
    explanation: 'Hand-ins are taken until the end of the late window, by the clock of the server.',
  },
  'tries-used-up': {
    status: 403,
    title: 'All tries at this exercise are used up.',
    explanation: 'Hand-ins that could not be read were not counted. An instructor can allow more.',
  },
  'not-found': {
    status: 404,
    title: 'There is nothing at this address.',
    explanation: 'Or it belongs to a course that you are no member of, or to another student.',
  },
  'user-name-taken': {
    status: 409,
    title: 'The user name is taken.',
    explanation: 'Capital and small letters count as the same.',
  },
  'already-a-member': {
    status: 409,
    title: 'You are a member of this course already.',
    explanation: 'Nothing was changed.',
  },
  'last-instructor': {
    status: 409,
    title: 'A course keeps at least one instructor.',
    explanation: 'Make somebody else an instructor first.',
  },
  'exercise-code-taken': {
    status: 409,
    title: 'The course has an exercise with this id.',
    explanation: 'The id in the document must be unique within its course and stay the same over all revisions.',
  },
  'revision-outdated': {
    status: 409,
    title: 'Somebody saved a newer revision in the meantime.',
    explanation: 'Fetch the exercise again, bring your change into it, and save that.',
  },
  'not-faulty': {
    status: 409,
    title: 'The grader has not failed on this hand-in.',
    explanation:
      'Only one on which the grader failed is put back into the queue; the others wait, run or have their report.',
  },
  'hint-too-early': {
    status: 409,
    title: 'An earlier hint comes first.',
    explanation: 'The ladder of hints is climbed rung by rung; `needs` names the one to take first.',
  },
  'hand-in-too-large': {
    status: 413,
    title: 'The hand-in is too large.',
    explanation: 'At most 64 KB of text. All of a board’s RAM as a hex dump takes less than 8 KB.',
  },
  'body-too-large': {
    status: 413,
    title: 'The request is too large.',
    explanation: 'The documentation of each address says how much it takes.',
  },
  'media-type': {
    status: 415,
    title: 'The request is not of a type that this address takes.',
    explanation: 'Send application/json.',
  },
  'join-code-unknown': {
    status: 422,
    title: 'No course takes this join code.',
    explanation: 'Codes are renewed at times, and a course can stop taking new members. Ask your instructor.',
  },
  'wrong-password': {
    status: 422,
    title: 'This is not your present password.',
    explanation: 'Nothing was changed. Whoever has forgotten it asks an instructor for a link.',
  },
  'password-too-simple': {
    status: 422,
    title: 'The password is too easy to guess.',
    explanation: 'It needs ten characters or more, not all alike, and may not hold the user name.',
  },
  'time-zone-unknown': {
    status: 422,
    title: 'The time zone is unknown.',
    explanation: 'Use an IANA name such as Europe/Berlin or America/Bogota.',
  },
  'times-out-of-order': {
    status: 422,
    title: 'The times are not in order.',
    explanation: 'An exercise opens before it is due, and is due before its late window ends.',
  },
  'exercise-document-wrong': {
    status: 422,
    title: 'The exercise document has mistakes.',
    explanation: 'Each entry of errors has line, column and pointer of one mistake. Nothing was saved.',
  },
  'exercise-document-too-much': {
    status: 422,
    title: 'Reading the exercise document takes too much time or memory.',
    explanation: 'Nothing was saved. Take out aliases and lists that are longer than the exercise needs.',
  },
  'board-unknown': {
    status: 422,
    title: 'The exercise names a board that is not installed.',
    explanation: 'GET /api/boards lists those that are.',
  },
  'hand-in-empty': {
    status: 422,
    title: 'The hand-in is empty.',
    explanation: 'There is nothing but white space in it. It was not counted as an attempt.',
  },
  'hand-in-not-text': {
    status: 422,
    title: 'The hand-in is not text.',
    explanation:
      'It holds a character that nobody sees, such as NUL, a control character, or one without width: perhaps a binary file was sent instead of its hex dump, or the program was copied from a page. It was not counted as an attempt.',
  },
  'answer-unfit': {
    status: 422,
    title: 'A written answer does not fit its question.',
    explanation:
      'The exercise says which questions it has and how long an answer may be. Nothing was counted as an attempt.',
  },
  'marking-unfit': {
    status: 422,
    title: 'The marks do not fit the question.',
    explanation: 'An answer gets points of its rubric, and at most the marks of its question.',
  },
  'format-not-taken': {
    status: 422,
    title: 'The exercise does not take this form of program.',
    explanation: 'Its page says whether it takes a hex dump, Intel HEX or assembly. It was not counted as an attempt.',
  },
  'idempotency-key-reused': {
    status: 422,
    title: 'The Idempotency-Key was used for another hand-in.',
    explanation: 'One key stands for one hand-in; sent again with the same text it answers the same submission.',
  },
  'upgrade-needed': {
    status: 426,
    title: 'This address speaks websocket only.',
    explanation: 'Open it as a websocket; see the API description for its messages.',
  },
  'too-many-failures': {
    status: 429,
    title: 'Too many wrong sign-ins.',
    explanation:
      'The Retry-After header and retryAfter say after how many seconds to try again. A browser that has signed in with this name before does not have to wait.',
  },
  'too-soon': {
    status: 429,
    title: 'The exercise asks for a pause between two hand-ins.',
    explanation: 'The Retry-After header and retryAfter say after how many seconds to hand in again.',
  },
  'too-many-requests': {
    status: 429,
    title: 'Too many requests.',
    explanation: 'The Retry-After header says after how many seconds to try again.',
  },
  'message-unreadable': {
    status: 400,
    title: 'The live message was not understood.',
    explanation: 'Live messages are JSON objects with a kind; see the API description.',
  },
  internal: {
    status: 500,
    title: 'The server made a mistake.',
    explanation: 'It was logged under the request id. Nothing that was accepted before is lost.',
  },
  unavailable: {
    status: 503,
    title: 'The server cannot answer at the moment.',
    explanation: 'The database does not answer, or the server is being stopped. Try again in a few seconds.',
  },
} as const satisfies Record<string, Kind>

export type ErrorCode = keyof typeof table

export class ApiError extends Error {
  readonly code: ErrorCode
  readonly status: number
  readonly faults: readonly Fault[]
  /** Headers of the answer, such as Retry-After. */
  readonly headers: Readonly<Record<string, string>>
  /** Seconds after which the same request may succeed. */
  readonly retryAfter: number | null
  constructor(code: ErrorCode, detail?: string, more: { faults?: readonly Fault[]; retryAfter?: number } = {}) {
    super(detail ?? table[code].title)
    this.name = 'ApiError'
    this.code = code
    this.status = table[code].status
    this.faults = more.faults ?? []
    this.retryAfter = more.retryAfter ?? null
    this.headers = this.retryAfter === null ? {} : { 'retry-after': String(this.retryAfter) }
  }
}

/** 429 with the time to wait, in words and in the header. */
export function tooMany(
  code: 'too-many-failures' | 'too-many-requests' | 'too-soon',
  why: string,
  seconds: number,
): ApiError {
  const retryAfter = Math.max(1, Math.ceil(seconds))
  return new ApiError(code, `${why} Try again in ${waitInWords(retryAfter)}.`, { retryAfter })
}

/** `45 seconds`, `2 minutes`: rounded up, so that whoever waits so long has waited long enough. */
function waitInWords(seconds: number): string {
  const [count, unit] = seconds < 90 ? [seconds, 'second'] : [Math.ceil(seconds / 60), 'minute']
  return `${count} ${unit}${count === 1 ? '' : 's'}`
}

/** The body of the answer (RFC 9457). From 500 up it says no more than the title. */
export function problemOf(error: ApiError, instance: string): ProblemDetails {
  return {
    type: `/api/problems#${error.code}`,
    code: error.code,
    title: titleOf(error.code),
    status: error.status,
    detail: error.status >= 500 ? titleOf(error.code) : error.message,
    instance,
    ...(error.faults.length > 0 ? { errors: [...error.faults] } : {}),
    ...(error.retryAfter === null ? {} : { retryAfter: error.retryAfter }),
  }
}

export function titleOf(code: ErrorCode): string {
  return table[code].title
}

export function problemList(): ProblemKind[] {
  return Object.entries<Kind>(table).map(([code, kind]) => ({ code, ...kind }))
}
