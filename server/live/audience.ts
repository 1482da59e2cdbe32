import type { CourseRole, ServerMessage } from '../contract/index.ts'
import { isStaff } from '../rights.ts'
import type { News } from '../store/news.ts'

/** What one connection watches. Roles are those at the time of the watch; a change of members asks for them anew. */
export interface Watches {
  readonly userId: string
  readonly courses: ReadonlyMap<string, CourseRole>
  readonly submissions: ReadonlyMap<string, CourseRole>
}

/** Whether a connection hears of it. Staff hear of the whole course, a student of own work and of exercises. */
export function isFor(news: News, { userId, courses, submissions }: Watches): boolean {
  if (news.kind === 'session-ended') return false
  const watched = 'submissionId' in news ? submissions.get(news.submissionId) : undefined
  const role = courses.get(news.courseId) ?? watched
  if (role === undefined) return false
  if (isStaff(role)) return true
  if (news.kind === 'note-added' && !news.isReleased) return false
  if (watched !== undefined) return true
  if (news.kind === 'members-changed') return false
  if (news.kind === 'exercise-changed') return news.isForStudents
  return news.studentId === userId
}

/** Kinds of message for which a submission is fetched. */
export const summaryKinds = new Set<News['kind']>(['submission-received', 'submission-graded', 'submission-fault'])

/** Messages that need nothing but the news itself. */
export function plainMessage(news: News): ServerMessage | null {
  switch (news.kind) {
    case 'submission-running': {
      const { submissionId, courseId, exerciseId, studentId, progress } = news
      return { kind: 'submission-running', submissionId, courseId, exerciseId, studentId, progress }
    }
    case 'diagnosis-ready':
    case 'notes-released':
      return { kind: news.kind, submissionId: news.submissionId, courseId: news.courseId }
    case 'review-changed':
      return { kind: 'review-changed', submissionId: news.submissionId, courseId: news.courseId, state: news.state }
    case 'exercise-changed':
      return { kind: 'exercise-changed', courseId: news.courseId, exerciseId: news.exerciseId }
    case 'members-changed':
      return { kind: 'members-changed', courseId: news.courseId }
    default:
      return null
  }
}
