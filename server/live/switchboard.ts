import type { FastifyBaseLogger } from 'fastify'
import { closeCodes, type ServerMessage } from '../contract/index.ts'
import { toNote } from '../reviews/describe-review.ts'
import { visibleCasesFor } from '../reviews/visible-cases.ts'
import { isStaff } from '../rights.ts'
import type { Database } from '../store/database.ts'
import type { News } from '../store/news.ts'
import { findNote } from '../store/notes.ts'
import { findSummary } from '../store/submissions.ts'
import { toSubmissionSummary } from '../submissions/describe-submission.ts'
import { allWaits } from '../submissions/waiting.ts'
import { isFor, plainMessage, summaryKinds } from './audience.ts'
import type { Connection } from './connection.ts'

/** Brings news to the connections of this process. What is needed for a message is fetched once, for all of them. */
export class Switchboard {
  readonly #database: Database
  readonly #log: Pick<FastifyBaseLogger, 'error'>
  readonly #connections = new Set<Connection>()
  /** News are told one after the other, so that `running` never comes after `graded`. */
  #last: Promise<void> = Promise.resolve()

  constructor(database: Database, log: Pick<FastifyBaseLogger, 'error'>) {
    this.#database = database
    this.#log = log
  }

  add(connection: Connection): void {
    this.#connections.add(connection)
  }

  remove(connection: Connection): void {
    this.#connections.delete(connection)
  }

  countOf(userId: string): number {
    return [...this.#connections].filter((connection) => connection.userId === userId).length
  }

  tellAll(message: ServerMessage): void {
    for (const connection of this.#connections) connection.send(message)
  }

  /** Says to whoever awaits a grader where the hand-in stands; one look at the queue serves all connections. */
  async tellWaits(): Promise<void> {
    if (![...this.#connections].some(({ awaits }) => awaits)) return
    const waits = await allWaits(this.#database)
    for (const connection of this.#connections) connection.tellWaits(waits)
  }

  get connections(): readonly Connection[] {
    return [...this.#connections]
  }

  closeAll(): void {
    for (const connection of this.#connections) connection.close(1001, 'the server stops')
  }

  tell(news: News): Promise<void> {
    this.#last = this.#last
      .then(() => this.#deliver(news))
      .catch((error: unknown) => this.#log.error(error, 'news could not be told'))
    return this.#last
  }

  async #deliver(news: News): Promise<void> {
    if (news.kind === 'session-ended') {
      for (const connection of this.#connections)
        if (connection.sessionHash === news.sessionHash) connection.close(closeCodes.signedOut, 'signed out')
      return
    }
    if (news.kind === 'members-changed')
      await Promise.all(
        [...this.#connections]
          .filter(({ userId }) => userId === news.userId)
          .map((each) => each.recheck(news.courseId)),
      )
    const audience = [...this.#connections].filter((connection) => isFor(news, connection))
    if (audience.length === 0) return
    if (news.kind === 'note-added') return this.#deliverNote(news, audience)
    const message = summaryKinds.has(news.kind) ? await this.#submissionMessage(news) : plainMessage(news)
    if (message !== null) for (const connection of audience) connection.send(message)
  }

  async #submissionMessage(news: News): Promise<ServerMessage | null> {
    if (news.kind !== 'submission-received' && news.kind !== 'submission-graded' && news.kind !== 'submission-fault')
      return null
    const row = await findSummary(this.#database, news.submissionId)
    return row === null ? null : { kind: news.kind, submission: toSubmissionSummary(row) }
  }

  async #deliverNote(news: Extract<News, { kind: 'note-added' }>, audience: readonly Connection[]): Promise<void> {
    const row = await findNote(this.#database, news.noteId)
    if (row === null) return
    const visible = await visibleCasesFor(this.#database, 'student', news.submissionId)
    for (const connection of audience) {
      const role = connection.courses.get(news.courseId) ?? connection.submissions.get(news.submissionId) ?? 'student'
      const note = toNote(row, isStaff(role) ? 'all' : visible)
      connection.send({ kind: 'note-added', courseId: news.courseId, note })
    }
  }
}
