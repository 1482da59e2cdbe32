import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyRequest } from 'fastify'
import {
  CourseParams,
  NewNote,
  Note,
  NoteList,
  PageQuery,
  Review,
  ReviewPut,
  ReviewQueue,
  SubmissionParams,
} from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { readPage } from '../page-query.ts'
import { actorOf, placeOf } from '../scopes.ts'
import type { SubmissionPlace } from '../store/news.ts'
import { addNote, findWithReports, listNotes, listQueue, putReview } from '../store/reviews.ts'
import { toNote, toReviewItem } from './describe-review.ts'
import { requireCase, visibleCasesFor } from './visible-cases.ts'

export const reviewRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/submissions/:submissionId/notes',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Notes on a submission',
        params: SubmissionParams,
        response: { 200: NoteList },
      },
      config: { deed: 'see-notes' },
    },
    async (request) => {
      const { submissionId } = request.params
      const visible = await visibleCasesFor(app.database, placeOf(request).role, submissionId)
      return { notes: (await listNotes(app.database, submissionId)).map((row) => toNote(row, visible)) }
    },
  )
}

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

  app.post(
    '/api/submissions/:submissionId/notes',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Pin a note to a step of a run, or to the whole',
        params: SubmissionParams,
        body: NewNote,
        response: { 201: Note },
      },
      config: { deed: 'write-note' },
    },
    async (request, reply) => {
      const { text, caseId = null, step = null } = request.body
      const place = submissionPlaceOf(request)
      if ((caseId === null) !== (step === null))
        throw new ApiError('invalid-request', 'Found one of caseId and step, allowed both or neither.')
      if (caseId !== null) await requireCase(app.database, place.submissionId, caseId)
      const author = { id: actorOf(request).id, role: placeOf(request).role }
      reply.status(201)
      return toNote(await addNote(app.database, author, place, { text, caseId, step }), 'all')
    },
  )
}

function submissionPlaceOf(request: FastifyRequest): SubmissionPlace {
  const { courseId, exerciseId, submissionId, ownerId } = placeOf(request)
  if (exerciseId === null || submissionId === null || ownerId === null) throw new ApiError('not-found')
  return { courseId, exerciseId, submissionId, studentId: ownerId }
}
