import Schema from 'typebox/schema'
import type { WebSocket } from 'ws'
import { ClientMessage, closeCodes, type CourseRole, type ServerMessage, type Wait } from '../contract/index.ts'
import { ApiError, type ErrorCode } from '../errors.ts'
import { may, type Actor, type Place } from '../rights.ts'
import type { Database } from '../store/database.ts'
import { roleIn } from '../store/courses.ts'
import { findPlace } from '../store/places.ts'
import { findSummary } from '../store/submissions.ts'
import { toSubmissionSummary } from '../submissions/describe-submission.ts'
import type { Watches } from './audience.ts'

/** Messages a client may send in ten seconds. */
const messagesPerSpan = 60
const spanMs = 10_000
/** Things one connection may watch. */
const mostWatches = 100
/** Bytes that may wait for a slow reader before it is dropped; it comes back and fetches anew. */
const mostBuffered = 1_048_576

const clientMessage = Schema.Compile(ClientMessage)

/** One open socket: what its user watches, and the way to it. */
export class Connection implements Watches {
  readonly #socket: WebSocket
  readonly #database: Database
  readonly #actor: Actor
  readonly sessionHash: string
  readonly courses = new Map<string, CourseRole>()
  readonly submissions = new Map<string, CourseRole>()
  /** The course of each submission that is watched. */
  readonly #courseOf = new Map<string, string>()
  /** Those watched that wait for a grader. */
  readonly #awaited = new Set<string>()
  #spanBegan = 0
  #received = 0

  constructor(socket: WebSocket, database: Database, actor: Actor, sessionHash: string) {
    this.#socket = socket
    this.#database = database
    this.#actor = actor
    this.sessionHash = sessionHash
  }

  get userId(): string {
    return this.#actor.id
  }

  send(message: ServerMessage): void {
    if (this.#socket.readyState !== this.#socket.OPEN) return
    if (this.#socket.bufferedAmount > mostBuffered) this.#socket.terminate()
    else this.#socket.send(JSON.stringify(message))
  }

  close(code: number, reason: string): void {
    this.#socket.close(code, reason)
  }

  async receive(text: string): Promise<void> {
    const now = Date.now()
    if (now - this.#spanBegan > spanMs) [this.#spanBegan, this.#received] = [now, 0]
    this.#received += 1
    if (this.#received > messagesPerSpan) return this.close(1008, 'too many messages')
    const message = parseMessage(text)
    if (message === null) return this.#refuse('message-unreadable')
    try {
      await this.#obey(message)
    } catch (error) {
      if (error instanceof ApiError) return this.#refuse(error.code, error.message)
      throw error
    }
  }

  /** Looks again at the role in a course whose members changed. Who is no member any more loses the connection. */
  async recheck(courseId: string): Promise<void> {
    if (!this.roles.has(courseId)) return
    const role = await roleIn(this.#database, courseId, this.userId)
    if (role === null) return this.close(closeCodes.notAMember, 'no member of the course any more')
    if (this.courses.has(courseId)) this.courses.set(courseId, role)
    for (const submissionId of [...this.submissions.keys()]) {
      const place = await this.#placeOf(submissionId)
      if (place === null) this.submissions.delete(submissionId)
      else this.submissions.set(submissionId, place.role)
    }
  }

  /** The courses in which it watches something, with the role that it has there. */
  get roles(): ReadonlyMap<string, CourseRole> {
    const ofSubmissions = [...this.submissions].map(([id, role]) => [this.#courseOf.get(id) ?? '', role] as const)
    return new Map([...ofSubmissions, ...this.courses])
  }

  /** Whether it watches something that waits for a grader. */
  get awaits(): boolean {
    return this.#awaited.size > 0
  }

  /** Says where those that are watched stand in the queue. */
  tellWaits(waits: ReadonlyMap<string, Wait>): void {
    for (const submissionId of [...this.#awaited]) {
      const wait = this.submissions.has(submissionId) ? waits.get(submissionId) : undefined
      if (wait === undefined) this.#awaited.delete(submissionId)
      else this.send({ kind: 'submission-waiting', submissionId, wait })
    }
  }

  async #obey(message: ClientMessage): Promise<void> {
    switch (message.kind) {
      case 'watch': {
        const place = await findPlace(this.#database, this.userId, { courseId: message.courseId })
        if (place === null || may(this.#actor, 'see-course', place) !== 'allowed') throw new ApiError('not-found')
        this.#requireRoom()
        this.courses.set(message.courseId, place.role)
        return this.send({ kind: 'watching', courseId: message.courseId })
      }
      case 'unwatch':
        this.courses.delete(message.courseId)
        return
      case 'watch-submission': {
        const place = await this.#placeOf(message.submissionId)
        if (place === null) throw new ApiError('not-found')
        this.#requireRoom()
        this.#courseOf.set(message.submissionId, place.courseId)
        // Watched before it is read: what happens in between is told twice rather than never.
        this.submissions.set(message.submissionId, place.role)
        const row = await findSummary(this.#database, message.submissionId)
        if (row === null) throw new ApiError('not-found')
        if (row.state === 'waiting') this.#awaited.add(message.submissionId)
        return this.send({ kind: 'watching-submission', submission: toSubmissionSummary(row) })
      }
      case 'unwatch-submission':
        this.submissions.delete(message.submissionId)
        this.#courseOf.delete(message.submissionId)
        return
    }
  }

  /** Null where the user may not see the submission. */
  async #placeOf(submissionId: string): Promise<Place | null> {
    const place = await findPlace(this.#database, this.userId, { submissionId })
    return place !== null && may(this.#actor, 'see-submission', place) === 'allowed' ? place : null
  }

  #requireRoom(): void {
    if (this.courses.size + this.submissions.size >= mostWatches)
      throw new ApiError('too-many-requests', `One connection watches at most ${mostWatches} things.`)
  }

  #refuse(code: ErrorCode, detail = new ApiError(code).message): void {
    this.send({ kind: 'refused', code, detail })
  }
}

function parseMessage(text: string): ClientMessage | null {
  try {
    const value: unknown = JSON.parse(text)
    return clientMessage.Check(value) ? value : null
  } catch {
    return null
  }
}
