import type { Course, CourseRole } from '../contract/index.ts'
import { isStaff } from '../rights.ts'
import { countMembers, findCourse } from '../store/courses.ts'
import type { Database } from '../store/database.ts'

/** A course as a role may see it. */
export async function describeCourse(database: Database, courseId: string, role: CourseRole): Promise<Course> {
  const course = await findCourse(database, courseId)
  const counts = isStaff(role) ? await countMembers(database, courseId) : null
  return {
    id: course.id,
    title: course.title,
    description: course.description,
    role,
    timeZone: course.timeZone,
    createdAt: course.createdAt.toISOString(),
    isJoinable: course.isJoinable,
    joinCode: role === 'instructor' ? course.joinCode : null,
    members:
      counts === null
        ? null
        : { instructors: counts.instructor, assistants: counts.assistant, students: counts.student },
  }
}
