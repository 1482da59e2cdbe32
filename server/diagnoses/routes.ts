import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Diagnosis, SubmissionParams } from '../contract/index.ts'
import { placeOf } from '../scopes.ts'
import { askForDiagnosis } from '../store/diagnoses.ts'
import { describeDiagnosis } from './describe-diagnosis.ts'

export const diagnosisRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/submissions/:submissionId/diagnosis',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Why a hand-in failed, as the reader may know it',
        description: 'A failed hand-in that was replaced by a later one is looked into when this is asked first.',
        params: SubmissionParams,
        response: { 200: Diagnosis },
      },
      config: { deed: 'see-submission' },
    },
    async (request) => {
      const { submissionId } = request.params
      const { courseId, ownerId } = placeOf(request)
      const owner = { courseId, studentId: ownerId ?? '' }
      await askForDiagnosis(app.database, submissionId, (tx, id) =>
        app.queue.diagnoses.enqueue(tx, id, { owner, isAsked: true }),
      )
      return describeDiagnosis(app.database, placeOf(request).role, submissionId)
    },
  )
}
