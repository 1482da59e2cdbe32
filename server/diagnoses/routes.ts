import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Diagnosis, SubmissionParams } from '../contract/index.ts'
import { placeOf } from '../scopes.ts'
import { describeDiagnosis } from './describe-diagnosis.ts'

export const diagnosisRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/submissions/:submissionId/diagnosis',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Why a hand-in failed, as the reader may know it',
        params: SubmissionParams,
        response: { 200: Diagnosis },
      },
      config: { deed: 'see-submission' },
    },
    async (request) => describeDiagnosis(app.database, placeOf(request).role, request.params.submissionId),
  )
}
