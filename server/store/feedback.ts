import type { FeedbackSettings } from '../contract/index.ts'
import { writeAudit } from './audit.ts'
import type { Database } from './database.ts'
import { tellNews } from './news.ts'

export async function courseFeedback({ prisma }: Database, courseId: string): Promise<unknown> {
  return (await prisma.course.findUniqueOrThrow({ where: { id: courseId }, select: { feedback: true } })).feedback
}

/** What is stored with the exercise and with its course, and the document of its newest revision. */
export async function exerciseFeedback({ prisma }: Database, exerciseId: string) {
  const exercise = await prisma.exercise.findUniqueOrThrow({
    where: { id: exerciseId },
    select: { feedback: true, revision: true, course: { select: { feedback: true } } },
  })
  const { document } = await prisma.exerciseRevision.findUniqueOrThrow({
    where: { exerciseId_number: { exerciseId, number: exercise.revision } },
    select: { document: true },
  })
  return { own: exercise.feedback, course: exercise.course.feedback, document }
}

export async function putCourseFeedback(
  { prisma }: Database,
  actorId: string,
  courseId: string,
  settings: FeedbackSettings,
): Promise<void> {
  await prisma.$transaction(async (tx) => {
    await tx.course.update({ where: { id: courseId }, data: { feedback: settings }, select: { id: true } })
    await writeAudit(tx, {
      actorId,
      action: 'feedback-changed',
      objectKind: 'course',
      objectId: courseId,
      courseId,
      detail: { settings: JSON.stringify(settings) },
    })
  })
}

export async function putExerciseFeedback(
  { prisma }: Database,
  actorId: string,
  exerciseId: string,
  settings: FeedbackSettings,
): Promise<void> {
  await prisma.$transaction(async (tx) => {
    const { courseId, isPublished } = await tx.exercise.update({
      where: { id: exerciseId },
      data: { feedback: settings },
      select: { courseId: true, isPublished: true },
    })
    await writeAudit(tx, {
      actorId,
      action: 'feedback-changed',
      objectKind: 'exercise',
      objectId: exerciseId,
      courseId,
      detail: { settings: JSON.stringify(settings) },
    })
    await tellNews(tx, { kind: 'exercise-changed', courseId, exerciseId, isForStudents: isPublished })
  })
}
