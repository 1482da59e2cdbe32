import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import {
  CourseParams,
  NewSavedAnswer,
  Nothing,
  SavedAnswer,
  SavedAnswerList,
  SavedAnswerParams,
  SavedAnswerPatch,
} from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { actorOf } from '../scopes.ts'
import {
  addSavedAnswer,
  changeSavedAnswer,
  listSavedAnswers,
  mostAnswers,
  removeSavedAnswer,
  type SavedAnswerRow,
} from '../store/saved-answers.ts'

export const savedAnswerRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/courses/:courseId/saved-answers',
    {
      schema: {
        tags: ['teaching'],
        summary: 'Answers that staff keep, most used first',
        params: CourseParams,
        response: { 200: SavedAnswerList },
      },
      config: { deed: 'see-saved-answers' },
    },
    async (request) => ({
      answers: (await listSavedAnswers(app.database, request.params.courseId)).map(toSavedAnswer),
    }),
  )

  app.post(
    '/api/courses/:courseId/saved-answers',
    {
      schema: {
        tags: ['teaching'],
        summary: 'Keep an answer',
        params: CourseParams,
        body: NewSavedAnswer,
        response: { 201: SavedAnswer },
      },
      config: { deed: 'change-saved-answers' },
    },
    async (request, reply) => {
      const { courseId } = request.params
      if ((await listSavedAnswers(app.database, courseId)).length >= mostAnswers)
        throw new ApiError('invalid-request', `The course keeps ${mostAnswers} answers already, and may keep no more.`)
      const { text, causeId = null } = request.body
      const row = await addSavedAnswer(app.database, { courseId, createdById: actorOf(request).id, text, causeId })
      reply.status(201)
      return toSavedAnswer(row)
    },
  )

  app.patch(
    '/api/courses/:courseId/saved-answers/:answerId',
    {
      schema: {
        tags: ['teaching'],
        summary: 'Change a kept answer',
        params: SavedAnswerParams,
        body: SavedAnswerPatch,
        response: { 200: SavedAnswer },
      },
      config: { deed: 'change-saved-answers' },
    },
    async (request) => {
      const { courseId, answerId } = request.params
      const row = await changeSavedAnswer(app.database, courseId, answerId, request.body)
      if (row === null) throw new ApiError('not-found')
      return toSavedAnswer(row)
    },
  )

  app.delete(
    '/api/courses/:courseId/saved-answers/:answerId',
    {
      schema: {
        tags: ['teaching'],
        summary: 'Keep an answer no longer; notes that used it stay',
        params: SavedAnswerParams,
        response: { 204: Nothing },
      },
      config: { deed: 'change-saved-answers' },
    },
    async (request, reply) => {
      const { courseId, answerId } = request.params
      if (!(await removeSavedAnswer(app.database, courseId, answerId))) throw new ApiError('not-found')
      reply.status(204)
      return null
    },
  )
}

function toSavedAnswer(row: SavedAnswerRow): SavedAnswer {
  return {
    ...row,
    lastUsedAt: row.lastUsedAt?.toISOString() ?? null,
    createdAt: row.createdAt.toISOString(),
  }
}
