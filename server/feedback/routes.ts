import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { mergedFeedback } from '../../core/diagnosis/index.ts'
import { CourseFeedback, CourseParams, ExerciseFeedback, ExerciseParams } from '../contract/index.ts'
import { readStored } from '../exercises/describe-exercise.ts'
import { actorOf } from '../scopes.ts'
import { courseFeedback, exerciseFeedback, putCourseFeedback, putExerciseFeedback } from '../store/feedback.ts'
import { readSettings, requireKnown, toSettings } from './settings.ts'

/** How reports speak, in a course and in one exercise. */
export const feedbackRoutes: FastifyPluginAsyncTypebox = async (app) => {
  async function describe(exerciseId: string): Promise<ExerciseFeedback> {
    const stored = await exerciseFeedback(app.database, exerciseId)
    const course = readSettings(stored.course)
    const document = toSettings(readStored(stored.document).feedback)
    const settings = readSettings(stored.own)
    return { course, document, settings, inForce: toSettings(mergedFeedback(course, document, settings)) }
  }

  app.get(
    '/api/courses/:courseId/feedback',
    {
      schema: {
        tags: ['teaching'],
        summary: 'How reports speak in the course',
        params: CourseParams,
        response: { 200: CourseFeedback },
      },
      config: { deed: 'see-feedback-settings' },
    },
    async (request) => ({ settings: readSettings(await courseFeedback(app.database, request.params.courseId)) }),
  )

  app.put(
    '/api/courses/:courseId/feedback',
    {
      schema: {
        tags: ['teaching'],
        summary: 'Set the order, the wording and what is switched off',
        params: CourseParams,
        body: CourseFeedback,
        response: { 200: CourseFeedback },
      },
      config: { deed: 'change-feedback-settings' },
    },
    async (request) => {
      const { settings } = request.body
      requireKnown(settings, null)
      await putCourseFeedback(app.database, actorOf(request).id, request.params.courseId, settings)
      return { settings }
    },
  )

  app.get(
    '/api/exercises/:exerciseId/feedback',
    {
      schema: {
        tags: ['exercises'],
        summary: 'How reports of the exercise speak, level by level',
        params: ExerciseParams,
        response: { 200: ExerciseFeedback },
      },
      config: { deed: 'see-feedback-settings' },
    },
    async (request) => describe(request.params.exerciseId),
  )

  app.put(
    '/api/exercises/:exerciseId/feedback',
    {
      schema: {
        tags: ['exercises'],
        summary: 'Set what differs from the course',
        params: ExerciseParams,
        body: CourseFeedback,
        response: { 200: ExerciseFeedback },
      },
      config: { deed: 'change-feedback-settings' },
    },
    async (request) => {
      const { exerciseId } = request.params
      const { document } = await exerciseFeedback(app.database, exerciseId)
      requireKnown(request.body.settings, readStored(document))
      await putExerciseFeedback(app.database, actorOf(request).id, exerciseId, request.body.settings)
      return describe(exerciseId)
    },
  )
}
