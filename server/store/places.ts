import type { Place } from '../rights.ts'
import type { Database } from './database.ts'

/** Resolves the id in an address to a place in a course of which `userId` is a member; null when there is none. */
export async function findPlace(
  { prisma }: Database,
  userId: string,
  params: Readonly<Record<string, string | undefined>>,
): Promise<Place | null> {
  const nothing = { exerciseId: null, isDraft: false, submissionId: null, ownerId: null }
  const membership = { select: { role: true }, where: { userId } }
  if (params['submissionId'] !== undefined) {
    const found = await prisma.submission.findUnique({
      where: { id: params['submissionId'] },
      select: {
        id: true,
        exerciseId: true,
        studentId: true,
        courseId: true,
        course: { select: { memberships: membership } },
      },
    })
    const role = found?.course.memberships[0]?.role
    if (found === null || role === undefined) return null
    // Whoever handed in keeps their work when the exercise is taken back.
    return {
      ...nothing,
      courseId: found.courseId,
      role,
      exerciseId: found.exerciseId,
      submissionId: found.id,
      ownerId: found.studentId,
    }
  }
  if (params['exerciseId'] !== undefined) {
    const found = await prisma.exercise.findUnique({
      where: { id: params['exerciseId'] },
      select: { id: true, courseId: true, isPublished: true, course: { select: { memberships: membership } } },
    })
    const role = found?.course.memberships[0]?.role
    return found === null || role === undefined
      ? null
      : { ...nothing, courseId: found.courseId, role, exerciseId: found.id, isDraft: !found.isPublished }
  }
  if (params['courseId'] !== undefined) {
    const found = await prisma.membership.findUnique({
      where: { courseId_userId: { courseId: params['courseId'], userId } },
    })
    return found === null ? null : { ...nothing, courseId: found.courseId, role: found.role }
  }
  return null
}
