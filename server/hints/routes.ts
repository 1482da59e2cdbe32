import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { exerciseFor } from '../../core/exercise/index.ts'
import { ExerciseParams, Hint, HintAnswer, HintLadder, HintParams } from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { readStored } from '../exercises/describe-exercise.ts'
import { requireVisible } from '../exercises/routes.ts'
import { isStaff } from '../rights.ts'
import { actorOf, placeOf } from '../scopes.ts'
import { findExercise, findRevision } from '../store/exercises.ts'
import { listHintsTaken, takeHint } from '../store/hints.ts'
import { seedFor } from '../submissions/seed.ts'
import { ladderOf, toHints } from './ladder.ts'

/** Fewer characters than this are no answer. */
const shortestAnswer = 15

export const hintRoutes: FastifyPluginAsyncTypebox = async (app) => {
  async function ladder(exerciseId: string, userId: string, isForStaff: boolean) {
    const exercise = await findExercise(app.database, exerciseId)
    if (!isForStaff) requireVisible(exercise, new Date())
    const { document } = await findRevision(app.database, exerciseId, exercise.revision)
    return ladderOf(exerciseFor(readStored(document), await seedFor(app.database, exerciseId, userId)))
  }

  app.get(
    '/api/exercises/:exerciseId/hints',
    {
      schema: {
        tags: ['exercises'],
        summary: 'The ladder of hints as the reader has climbed it',
        params: ExerciseParams,
        response: { 200: HintLadder },
      },
      config: { deed: 'take-hints' },
    },
    async (request) => {
      const { exerciseId } = request.params
      const { id } = actorOf(request)
      const rungs = await ladder(exerciseId, id, isStaff(placeOf(request).role))
      return { hints: toHints(rungs, await listHintsTaken(app.database, exerciseId, id)) }
    },
  )

  app.post(
    '/api/exercises/:exerciseId/hints/:rung',
    {
      schema: {
        tags: ['exercises'],
        summary: 'Answer the question of a hint and be told the hint',
        description: 'The first answer is kept. A hint of a higher rung is told only after the one below it.',
        params: HintParams,
        body: HintAnswer,
        response: { 200: Hint },
      },
      config: { deed: 'take-hints' },
    },
    async (request) => {
      const { exerciseId } = request.params
      const { id } = actorOf(request)
      const { role, courseId } = placeOf(request)
      const rungs = await ladder(exerciseId, id, isStaff(role))
      const find = async (): Promise<Hint> => {
        const hints = toHints(rungs, await listHintsTaken(app.database, exerciseId, id))
        const found = hints.find(({ number }) => number === Number(request.params.rung))
        if (found === undefined) throw new ApiError('not-found')
        return found
      }
      const hint = await find()
      if (hint.needs !== null) throw new ApiError('hint-too-early', `Hint ${hint.needs} comes before ${hint.number}.`)
      const answer = request.body.answer.trim()
      if (answer.length < shortestAnswer)
        throw new ApiError('invalid-request', `Found ${answer.length} characters, allowed ${shortestAnswer} or more.`, {
          faults: [{ pointer: '/answer', message: 'too short' }],
        })
      await takeHint(app.database, { courseId, exerciseId, userId: id, number: hint.number, answer })
      return find()
    },
  )
}
