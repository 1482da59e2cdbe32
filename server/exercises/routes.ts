import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import {
  CourseParams,
  Exercise,
  ExerciseList,
  ExerciseParams,
  ExercisePatch,
  ExerciseRevisionText,
  NewExercise,
  RevisionList,
} from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { isStaff } from '../rights.ts'
import { actorOf, placeOf } from '../scopes.ts'
import {
  addRevision,
  changeSchedule,
  createExercise,
  findExercise,
  listExercises,
  listRevisions,
  type ExerciseRow,
} from '../store/exercises.ts'
import { moreTimeOf } from '../store/extensions.ts'
import { listStandings, listStudents, type StandingRow } from '../store/standings.ts'
import { countStandings, toExercise, toStanding, toSummary, type SummaryParts } from './describe-exercise.ts'
import { readSchedule, requireOrder } from './schedule.ts'
import { stateAt, timesWith, type MoreTime } from './times.ts'

const noMoreTime: ReadonlyMap<string, MoreTime> = new Map()

export const exerciseRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/courses/:courseId/exercises',
    {
      schema: {
        tags: ['exercises'],
        summary: 'Exercises of a course',
        params: CourseParams,
        response: { 200: ExerciseList },
      },
      config: { deed: 'see-exercises' },
    },
    async (request) => {
      const { courseId } = request.params
      const { role } = placeOf(request)
      const now = new Date()
      const all = await listExercises(app.database, courseId)
      const seen = isStaff(role) ? all : all.filter((exercise) => exercise.isPublished)
      const standings = await listStandings(app.database, courseId, isStaff(role) ? null : actorOf(request).id)
      const students = isStaff(role) ? (await listStudents(app.database, courseId)).length : 0
      const more = isStaff(role) ? noMoreTime : await moreTimeOf(app.database, courseId, actorOf(request).id)
      return {
        exercises: seen.map((exercise) => toSummary(partsOf(exercise, role, standings, students, now, more))),
      }
    },
  )

  app.get(
    '/api/exercises/:exerciseId',
    {
      schema: { tags: ['exercises'], summary: 'One exercise', params: ExerciseParams, response: { 200: Exercise } },
      config: { deed: 'see-exercise' },
    },
    async (request) => {
      const { role, courseId } = placeOf(request)
      const now = new Date()
      const exercise = await findExercise(app.database, request.params.exerciseId)
      if (!isStaff(role)) requireVisible(exercise, now)
      const standings = await listStandings(app.database, courseId, isStaff(role) ? null : actorOf(request).id)
      const students = isStaff(role) ? (await listStudents(app.database, courseId)).length : 0
      const more = isStaff(role) ? noMoreTime : await moreTimeOf(app.database, courseId, actorOf(request).id)
      return toExercise(
        app.database,
        { id: actorOf(request).id, role },
        partsOf(exercise, role, standings, students, now, more),
      )
    },
  )
}

export const exerciseStaffRoutes: FastifyPluginAsyncTypebox = async (app) => {
  async function describe(exercise: ExerciseRow, role: 'instructor' | 'assistant' | 'student'): Promise<Exercise> {
    const standings = await listStandings(app.database, exercise.courseId)
    const students = (await listStudents(app.database, exercise.courseId)).length
    return toExercise(app.database, { id: '', role }, partsOf(exercise, role, standings, students, new Date()))
  }

  app.post(
    '/api/courses/:courseId/exercises',
    {
      schema: {
        tags: ['exercises'],
        summary: 'Add an exercise',
        params: CourseParams,
        body: NewExercise,
        response: { 201: Exercise },
      },
      config: { deed: 'change-exercise' },
    },
    async (request, reply) => {
      const { source, ...times } = request.body
      const revision = await app.documents.read(source)
      const schedule = readSchedule(times)
      requireOrder(schedule)
      const { courseId } = request.params
      const created = await createExercise(app.database, actorOf(request).id, courseId, revision, schedule)
      if (created === 'code-taken') throw codeTaken(revision.code)
      reply.status(201)
      return describe(created, placeOf(request).role)
    },
  )

  app.put(
    '/api/exercises/:exerciseId',
    {
      schema: {
        tags: ['exercises'],
        summary: 'Save a new revision of the document',
        params: ExerciseParams,
        body: ExerciseRevisionText,
        response: { 200: Exercise },
      },
      config: { deed: 'change-exercise' },
    },
    async (request) => {
      const { exerciseId } = request.params
      const revision = await app.documents.read(request.body.source)
      const saved = await addRevision(app.database, actorOf(request).id, exerciseId, request.body.revision, revision)
      if (saved === 'outdated') throw new ApiError('revision-outdated')
      if (saved === 'code-taken') throw codeTaken(revision.code)
      return describe(saved, placeOf(request).role)
    },
  )

  app.patch(
    '/api/exercises/:exerciseId',
    {
      schema: {
        tags: ['exercises'],
        summary: 'Change times and publication',
        params: ExerciseParams,
        body: ExercisePatch,
        response: { 200: Exercise },
      },
      config: { deed: 'change-exercise' },
    },
    async (request) => {
      const { exerciseId } = request.params
      const schedule = readSchedule(request.body)
      requireOrder({ ...(await findExercise(app.database, exerciseId)), ...schedule })
      return describe(
        await changeSchedule(app.database, actorOf(request).id, exerciseId, schedule),
        placeOf(request).role,
      )
    },
  )

  app.get(
    '/api/exercises/:exerciseId/revisions',
    {
      schema: { tags: ['exercises'], summary: 'Revisions', params: ExerciseParams, response: { 200: RevisionList } },
      config: { deed: 'see-revisions' },
    },
    async (request) => ({
      revisions: (await listRevisions(app.database, request.params.exerciseId)).map((row) => ({
        ...row,
        createdAt: row.createdAt.toISOString(),
      })),
    }),
  )
}

/** A student finds no draft, and may not read an exercise before it opens. */
export function requireVisible(exercise: ExerciseRow, now: Date): void {
  const state = stateAt(exercise, now)
  if (state === 'draft') throw new ApiError('not-found')
  if (state === 'scheduled')
    throw new ApiError('exercise-not-open', `It opens at ${exercise.opensAt?.toISOString() ?? 'a time not set'}.`)
}

function codeTaken(code: string): ApiError {
  return new ApiError('exercise-code-taken', `The course has an exercise '${code}' already.`)
}

function partsOf(
  exercise: ExerciseRow,
  role: 'instructor' | 'assistant' | 'student',
  standings: readonly StandingRow[],
  students: number,
  now: Date,
  moreTime: ReadonlyMap<string, MoreTime> = noMoreTime,
): SummaryParts {
  const own = standings.filter((row) => row.exerciseId === exercise.id)
  return isStaff(role)
    ? { exercise, isExtended: false, now, standing: null, counts: { ...countStandings(own), students } }
    : {
        exercise: timesWith(exercise, moreTime.get(exercise.id)),
        isExtended: moreTime.has(exercise.id),
        now,
        standing: toStanding(own[0]),
        counts: null,
      }
}
