import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import {
  ExerciseParams,
  NewSubmission,
  Submission,
  SubmissionPage,
  SubmissionParams,
  SubmissionQuery,
  Trace,
} from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { isStaff } from '../rights.ts'
import { actorOf, placeOf } from '../scopes.ts'
import { findSubmission, listSubmissions, type WholeRow } from '../store/submissions.ts'
import { readPage } from '../page-query.ts'
import { toSubmission, toSubmissionSummary } from './describe-submission.ts'
import { handIn } from './hand-in.ts'
import { waitPreferred } from './prefer.ts'
import { describeTrace } from './trace.ts'
import { openEar } from './wait-for-report.ts'

/** Room for a hand-in far above what is taken, so that its sender reads why it was not, and no broken connection. */
const bodyLimit = 8 * 1024 * 1024

export const submissionRoutes: FastifyPluginAsyncTypebox = async (app) => {
  async function find(submissionId: string): Promise<WholeRow> {
    const row = await findSubmission(app.database, submissionId)
    if (row === null) throw new ApiError('not-found')
    return row
  }

  app.post(
    '/api/exercises/:exerciseId/submissions',
    {
      bodyLimit,
      schema: {
        tags: ['submissions'],
        summary: 'Hand in a program',
        description:
          'Answers 201 with the finished report when it is ready within the time of `Prefer: wait=SECONDS`, else 202. ' +
          'With an Idempotency-Key the same hand-in sent again is accepted once.',
        params: ExerciseParams,
        body: NewSubmission,
        response: { 201: Submission, 202: Submission },
      },
      config: {
        deed: 'hand-in',
        tooLarge: 'hand-in-too-large',
        ownText: ['text', 'answers'],
      },
    },
    async (request, reply) => {
      const wait = waitPreferred(request.headers.prefer)
      const place = placeOf(request)
      await app.throttle.handIns.take(actorOf(request).id)
      const ear = openEar(app.news)
      try {
        const { submissionId } = await handIn({
          database: app.database,
          queue: app.queue,
          place,
          studentId: actorOf(request).id,
          body: request.body,
          key: readKey(request.headers['idempotency-key']),
          now: new Date(),
        })
        let row = await find(submissionId)
        if (wait !== null && !isFinished(row)) {
          await ear.hears(submissionId, wait)
          row = await find(submissionId)
        }
        if (wait !== null) reply.header('preference-applied', `wait=${wait}`)
        reply.header('location', `/api/submissions/${submissionId}`)
        reply.status(isFinished(row) ? 201 : 202)
        return await toSubmission(app.database, place.role, row)
      } finally {
        ear.close()
      }
    },
  )

  app.get(
    '/api/exercises/:exerciseId/submissions',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Submissions to an exercise, newest first: all for staff, own for a student',
        params: ExerciseParams,
        querystring: SubmissionQuery,
        response: { 200: SubmissionPage },
      },
      config: { deed: 'list-submissions' },
    },
    async (request) => {
      const { after, limit } = readPage(request.query)
      const studentId = isStaff(placeOf(request).role) ? (request.query.studentId ?? null) : actorOf(request).id
      const rows = await listSubmissions(app.database, {
        exerciseId: request.params.exerciseId,
        studentId,
        after,
        limit,
      })
      const page = rows.slice(0, limit)
      return {
        items: page.map(toSubmissionSummary),
        next: rows.length > limit ? String(page.at(-1)?.arrival) : null,
      }
    },
  )

  app.get(
    '/api/submissions/:submissionId',
    {
      schema: {
        tags: ['submissions'],
        summary: 'One submission with its report',
        params: SubmissionParams,
        response: { 200: Submission },
      },
      config: { deed: 'see-submission' },
    },
    async (request) => toSubmission(app.database, placeOf(request).role, await find(request.params.submissionId)),
  )

  app.get(
    '/api/submissions/:submissionId/trace',
    {
      schema: {
        tags: ['submissions'],
        summary: 'What is needed to run a submission again',
        params: SubmissionParams,
        response: { 200: Trace },
      },
      config: { deed: 'see-submission' },
    },
    async (request) => describeTrace(app.database, placeOf(request).role, await find(request.params.submissionId)),
  )
}

function isFinished(row: WholeRow): boolean {
  return row.state !== 'waiting' && row.state !== 'running'
}

function readKey(header: string | string[] | undefined): string | null {
  if (header === undefined) return null
  if (typeof header !== 'string' || !/^[\x21-\x7e]{1,200}$/.test(header)) throw new ApiError('idempotency-key-invalid')
  return header
}
