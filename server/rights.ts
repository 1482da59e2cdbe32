import type { CourseRole } from './contract/index.ts'

/** Somebody who is signed in. */
export interface Actor {
  readonly id: string
  readonly userName: string
  readonly displayName: string
  readonly mayCreateCourses: boolean
}

/** What a request is about, as seen by the actor: the course, and whose work it is when it is a submission. */
export interface Place {
  readonly courseId: string
  readonly role: CourseRole
  readonly exerciseId: string | null
  /** The address names an exercise that is not published: for students it is not there. */
  readonly isDraft: boolean
  readonly submissionId: string | null
  /** The student whose work it is; null where it is nobody's. */
  readonly ownerId: string | null
}

const staff = ['instructor', 'assistant'] as const
const everyone = ['instructor', 'assistant', 'student'] as const

/** What can be done in a course, and by which roles. */
const deeds = {
  'see-course': everyone,
  'change-course': ['instructor'],
  'see-members': staff,
  'change-member': ['instructor'],
  'leave-course': everyone,
  'make-password-link': ['instructor'],
  'see-exercises': everyone,
  'see-exercise': everyone,
  'change-exercise': ['instructor'],
  'see-revisions': staff,
  'see-extensions': staff,
  'change-extensions': ['instructor'],
  'hand-in': everyone,
  'list-submissions': everyone,
  'see-submission': everyone,
  'see-notes': everyone,
  'write-note': staff,
  'answer-note': everyone,
  'see-saved-answers': staff,
  'change-saved-answers': staff,
  'take-hints': everyone,
  'see-feedback-settings': staff,
  'change-feedback-settings': ['instructor'],
  review: staff,
  'grade-again': staff,
  'mark-answer': staff,
  'see-review-queue': staff,
  'see-progress': staff,
  'see-marks': everyone,
  'export-marks': staff,
} as const satisfies Record<string, readonly CourseRole[]>

export type CourseDeed = keyof typeof deeds
/** Those that stand here need no course. */
export type Deed = CourseDeed | 'list-courses' | 'join-course' | 'create-course' | 'listen' | 'change-own-password'

export function isStaff(role: CourseRole): boolean {
  return role !== 'student'
}

/** `hidden`: the answer is the one for things that do not exist. */
export type Verdict = 'allowed' | 'refused' | 'hidden'

/** The one place that decides. Whoever is no member of the course has no place in it and never gets here. */
export function may(actor: Actor, deed: Deed, place: Place | null): Verdict {
  if (deed === 'create-course') return actor.mayCreateCourses ? 'allowed' : 'refused'
  if (!isCourseDeed(deed)) return 'allowed'
  if (place === null) return 'hidden'
  const isOthersWork = place.ownerId !== null && place.ownerId !== actor.id
  if ((isOthersWork || place.isDraft) && !isStaff(place.role)) return 'hidden'
  const roles: readonly CourseRole[] = deeds[deed]
  return roles.includes(place.role) ? 'allowed' : 'refused'
}

function isCourseDeed(deed: Deed): deed is CourseDeed {
  return Object.hasOwn(deeds, deed)
}
