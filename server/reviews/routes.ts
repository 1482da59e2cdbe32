import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import {
  CourseParams,
  PageQuery,
  Review,
  ReviewPut,
  ReviewQueue,
  Submission,
  SubmissionParams,
} from '../contract/index.ts'
import { readPage } from '../page-query.ts'
import { ApiError } from '../errors.ts'
import { actorOf, placeOf, submissionPlaceOf } from '../scopes.ts'
import { gradeAgain } from '../store/grade-again.ts'
import { findSubmission } from '../store/submissions.ts'
import { toSubmission } from '../submissions/describe-submission.ts'
import { findWithReports, listQueue, putReview } from '../store/reviews.ts'
import { toReviewItem } from './describe-review.ts'

export const reviewStaffRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/courses/:courseId/review',
    {
      schema: {
        tags: ['teaching'],
        summary: 'Submissions that need a look, oldest first',
        params: CourseParams,
        querystring: PageQuery,
        response: { 200: ReviewQueue },
      },
      config: { deed: 'see-review-queue' },
    },
    async (request) => {
      const { after, limit } = readPage(request.query)
      const { ids, total } = await listQueue(app.database, request.params.courseId, after, limit)
      const rows = await findWithReports(app.database, ids.slice(0, limit))
      return {
        items: rows.map(toReviewItem),
        next: ids.length > limit ? String(rows.at(-1)?.arrival) : null,
        total,
      }
    },
  )

  app.post(
    '/api/submissions/:submissionId/grade-again',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Put a hand-in on which the grader failed back into the queue',
        params: SubmissionParams,
        response: { 202: Submission },
      },
      config: { deed: 'grade-again' },
    },
    async (request, reply) => {
      const { submissionId } = request.params
      const isBack = await gradeAgain(app.database, submissionId, actorOf(request).id, (tx, id, owner) =>
        app.queue.grades.enqueue(tx, id, { owner }),
      )
      if (!isBack) throw new ApiError('not-faulty')
      const row = await findSubmission(app.database, submissionId)
      if (row === null) throw new ApiError('not-found')
      reply.status(202)
      return toSubmission(app.database, placeOf(request).role, row)
    },
  )

  app.put(
    '/api/submissions/:submissionId/review',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Hold, settle or open again',
        params: SubmissionParams,
        body: ReviewPut,
        response: { 200: Review },
      },
      config: { deed: 'review' },
    },
    async (request) => {
      const { state, note } = request.body
      const place = submissionPlaceOf(request)
      const review = await putReview(app.database, actorOf(request).id, place, state, note)
      return { ...review, submissionId: place.submissionId, at: review.at.toISOString() }
    },
  )
}
