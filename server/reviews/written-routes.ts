import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Question } from '../../core/exercise/index.ts'
import { Submission, WrittenMarking, WrittenParams } from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { storedQuestions } from '../exercises/describe-exercise.ts'
import { actorOf, placeOf, submissionPlaceOf } from '../scopes.ts'
import { findSubmission } from '../store/submissions.ts'
import { markAnswer, type Marking } from '../store/written-answers.ts'
import { toSubmission } from '../submissions/describe-submission.ts'

/** Marking what students wrote to the questions of an exercise. */
export const writtenStaffRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.put(
    '/api/submissions/:submissionId/written/:questionId',
    {
      schema: {
        tags: ['teaching'],
        summary: 'Mark a written answer by its rubric',
        params: WrittenParams,
        body: WrittenMarking,
        response: { 200: Submission },
      },
      config: { deed: 'mark-answer' },
    },
    async (request) => {
      const { submissionId, questionId } = request.params
      const before = await findSubmission(app.database, submissionId)
      if (before === null) throw new ApiError('not-found')
      const question = storedQuestions(before.revision.document).find(({ id }) => id === questionId)
      if (question === undefined) throw new ApiError('not-found')
      const marking = markingOf(request.body, question)
      const isMarked = await markAnswer(
        app.database,
        actorOf(request).id,
        submissionPlaceOf(request),
        questionId,
        marking,
      )
      if (!isMarked)
        throw new ApiError('marking-unfit', 'Nothing was written to this question, so there is nothing to mark.')
      const row = await findSubmission(app.database, submissionId)
      if (row === null) throw new ApiError('not-found')
      return toSubmission(app.database, placeOf(request).role, row)
    },
  )
}

function markingOf({ points, marks, remark }: WrittenMarking, question: Question): Marking {
  const unknown = points.find((point) => point >= question.rubric.length)
  if (unknown !== undefined)
    throw new ApiError('marking-unfit', `Found point ${unknown}, allowed 0 to ${question.rubric.length - 1}.`)
  const sum = points.reduce((total, point) => total + (question.rubric[point]?.marks ?? 0), 0)
  const given = marks ?? sum
  if (given > question.marks)
    throw new ApiError('marking-unfit', `Found ${given} marks, allowed 0 to ${question.marks}.`)
  return { marks: given, points, remark: remark?.trim() === '' ? null : (remark?.trim() ?? null) }
}
