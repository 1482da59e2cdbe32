import type { Marks } from '../contract/index.ts'
import type { Database } from '../store/database.ts'
import { listExercises } from '../store/exercises.ts'
import { listStandings, listStudents } from '../store/standings.ts'

/** Marks of a course: of one student, or of all. Drafts have no column. */
export async function readMarks(database: Database, courseId: string, studentId: string | null): Promise<Marks> {
  const exercises = (await listExercises(database, courseId)).filter((exercise) => exercise.isPublished)
  const students = await listStudents(database, courseId)
  const standings = await listStandings(database, courseId, studentId)
  const byCell = new Map(standings.map((row) => [`${row.studentId} ${row.exerciseId}`, row]))
  return {
    courseId,
    exercises: exercises.map(({ id, code, title }) => ({ id, code, title, outOf: 100 })),
    rows: students
      .filter((student) => studentId === null || student.id === studentId)
      .map((student) => {
        const cells = exercises.map((exercise) => byCell.get(`${student.id} ${exercise.id}`))
        const scores = cells.map((cell) => cell?.bestScore ?? null)
        return {
          student: { id: student.id, displayName: student.displayName },
          userName: student.userName,
          scores,
          late: cells.map((cell) => cell?.isBestLate ?? false),
          total: meanOf(scores),
        }
      }),
  }
}

/** Mean with missing marks as 0, to two places. */
export function meanOf(scores: readonly (number | null)[]): number {
  if (scores.length === 0) return 0
  const sum = scores.reduce<number>((total, score) => total + (score ?? 0), 0)
  return Math.round((sum / scores.length) * 100) / 100
}
