import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { ExerciseParams, ExtensionList, ExtensionParams, NewExtension } from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { actorOf, placeOf } from '../scopes.ts'
import { findExercise } from '../store/exercises.ts'
import { dropExtension, listExtensions, setExtension } from '../store/extensions.ts'
import { moment } from './schedule.ts'
import { disorderOf, type ExerciseTimes, type MoreTime } from './times.ts'

/** More time for one student: staff see it, instructors give it. */
export const extensionRoutes: FastifyPluginAsyncTypebox = async (app) => {
  async function describe(exerciseId: string): Promise<ExtensionList> {
    const rows = await listExtensions(app.database, exerciseId)
    return {
      extensions: rows.map(({ user, createdBy, dueAt, closesAt, reason, createdAt }) => ({
        student: user,
        dueAt: dueAt.toISOString(),
        closesAt: closesAt?.toISOString() ?? null,
        reason,
        by: createdBy,
        createdAt: createdAt.toISOString(),
      })),
    }
  }

  app.get(
    '/api/exercises/:exerciseId/extensions',
    {
      schema: {
        tags: ['exercises'],
        summary: 'Who has more time',
        params: ExerciseParams,
        response: { 200: ExtensionList },
      },
      config: { deed: 'see-extensions' },
    },
    async (request) => describe(request.params.exerciseId),
  )

  app.put(
    '/api/exercises/:exerciseId/extensions/:userId',
    {
      schema: {
        tags: ['exercises'],
        summary: 'Give a student more time',
        params: ExtensionParams,
        body: NewExtension,
        response: { 200: ExtensionList },
      },
      config: { deed: 'change-extensions' },
    },
    async (request) => {
      const { exerciseId, userId } = request.params
      const more = readMoreTime(request.body)
      requireMore(await findExercise(app.database, exerciseId), more)
      const place = { courseId: placeOf(request).courseId, exerciseId, userId }
      const reason = request.body.reason.trim()
      if (!(await setExtension(app.database, actorOf(request).id, place, { ...more, reason })))
        throw new ApiError('not-found')
      return describe(exerciseId)
    },
  )

  app.delete(
    '/api/exercises/:exerciseId/extensions/:userId',
    {
      schema: {
        tags: ['exercises'],
        summary: 'Take an extension back',
        params: ExtensionParams,
        response: { 200: ExtensionList },
      },
      config: { deed: 'change-extensions' },
    },
    async (request) => {
      const { exerciseId, userId } = request.params
      await dropExtension(app.database, actorOf(request).id, {
        courseId: placeOf(request).courseId,
        exerciseId,
        userId,
      })
      return describe(exerciseId)
    },
  )
}

function readMoreTime(given: NewExtension): MoreTime {
  const { dueAt } = moment('dueAt', given.dueAt)
  const { closesAt } = moment('closesAt', given.closesAt)
  if (dueAt === undefined || dueAt === null) throw new ApiError('invalid-request')
  return { dueAt, closesAt: closesAt ?? null }
}

/** An exercise that never ends has nothing to extend, and an extension ends later than the exercise does. */
function requireMore(times: ExerciseTimes, more: MoreTime): void {
  const end = times.closesAt ?? times.dueAt
  if (end === null) throw new ApiError('times-out-of-order', 'The exercise never ends, so there is nothing to extend.')
  const disorder = disorderOf({ opensAt: times.opensAt, ...more })
  if (disorder !== null) throw new ApiError('times-out-of-order', disorder)
  const isLater = times.dueAt !== null && more.dueAt > times.dueAt
  if (!isLater && (more.closesAt ?? more.dueAt) <= end)
    throw new ApiError(
      'times-out-of-order',
      `The exercise is due at ${times.dueAt?.toISOString() ?? 'no time'} and ends at ${end.toISOString()}; an extension is due or ends later.`,
    )
}
