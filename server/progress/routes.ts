import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { ClassProgress, CourseParams } from '../contract/index.ts'
import { countStandings, noStanding, toStanding } from '../exercises/describe-exercise.ts'
import { stateAt } from '../exercises/times.ts'
import { listExercises } from '../store/exercises.ts'
import { listQueue } from '../store/reviews.ts'
import { countByState, listStandings, listStudents } from '../store/standings.ts'

export const progressRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/courses/:courseId/progress',
    {
      schema: {
        tags: ['teaching'],
        summary: 'The class view: every student and every exercise',
        params: CourseParams,
        response: { 200: ClassProgress },
      },
      config: { deed: 'see-progress' },
    },
    async (request) => {
      const { courseId } = request.params
      const now = new Date()
      const exercises = await listExercises(app.database, courseId)
      const students = await listStudents(app.database, courseId)
      const standings = await listStandings(app.database, courseId)
      const states = await countByState(app.database, courseId)
      const { total: toReview } = await listQueue(app.database, courseId, null, 0)
      const byCell = new Map(standings.map((row) => [`${row.studentId} ${row.exerciseId}`, row]))
      return {
        courseId,
        now: now.toISOString(),
        exercises: exercises.map((exercise) => ({
          id: exercise.id,
          code: exercise.code,
          title: exercise.title,
          state: stateAt(exercise, now),
          dueAt: exercise.dueAt?.toISOString() ?? null,
          counts: countStandings(standings.filter((row) => row.exerciseId === exercise.id)),
        })),
        students: students.map(({ id, displayName }) => ({
          student: { id, displayName },
          cells: exercises.map((exercise) => {
            const row = byCell.get(`${id} ${exercise.id}`)
            return row === undefined ? noStanding : toStanding(row)
          }),
        })),
        totals: {
          students: students.length,
          submissions: Object.values(states).reduce((sum, count) => sum + count, 0),
          waiting: states.waiting,
          running: states.running,
          faults: states['grader-fault'],
          toReview,
        },
      }
    },
  )
}
