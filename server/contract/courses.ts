import Type, { type Static } from 'typebox'
import { CourseRole, Id, nullable, Person, TimeZone, Timestamp } from './value.ts'

const Title = Type.String({ minLength: 1, maxLength: 120 })
const Description = Type.String({ maxLength: 4000 })

export const CourseSummary = Type.Object({
  id: Id,
  title: Type.String(),
  role: CourseRole,
  timeZone: TimeZone,
  exercises: Type.Integer(),
  /** Number of students; null for a student. */
  students: nullable(Type.Integer()),
  /** The next due time of a published exercise that is still to come. */
  nextDueAt: nullable(Timestamp),
})
export type CourseSummary = Static<typeof CourseSummary>

export const CourseList = Type.Object({ courses: Type.Array(CourseSummary) })
export type CourseList = Static<typeof CourseList>

export const NewCourse = Type.Object(
  { title: Title, description: Type.Optional(Description), timeZone: TimeZone },
  { additionalProperties: false },
)
export type NewCourse = Static<typeof NewCourse>

export const CoursePatch = Type.Object(
  {
    title: Type.Optional(Title),
    description: Type.Optional(Description),
    timeZone: Type.Optional(TimeZone),
    /** Whether the join code is taken. */
    isJoinable: Type.Optional(Type.Boolean()),
  },
  { additionalProperties: false, minProperties: 1 },
)
export type CoursePatch = Static<typeof CoursePatch>

export const Course = Type.Object({
  id: Id,
  title: Type.String(),
  description: Type.String(),
  role: CourseRole,
  timeZone: TimeZone,
  createdAt: Timestamp,
  isJoinable: Type.Boolean(),
  /** Instructors see it; null for everybody else. */
  joinCode: nullable(Type.String()),
  members: nullable(Type.Object({ instructors: Type.Integer(), assistants: Type.Integer(), students: Type.Integer() })),
})
export type Course = Static<typeof Course>

/** Body of `POST /api/courses/join`. */
export const JoinCourse = Type.Object(
  { code: Type.String({ minLength: 1, maxLength: 40 }) },
  { additionalProperties: false },
)
export type JoinCourse = Static<typeof JoinCourse>

/** Answer of `POST /api/courses/:courseId/join-code`. */
export const JoinCode = Type.Object({ joinCode: Type.String() })
export type JoinCode = Static<typeof JoinCode>

export const Member = Type.Object({
  person: Person,
  userName: Type.String(),
  role: CourseRole,
  joinedAt: Timestamp,
})
export type Member = Static<typeof Member>

/** Somebody who left, or was taken out; their hand-ins stay. */
export const FormerMember = Type.Object({
  person: Person,
  userName: Type.String(),
  role: CourseRole,
  leftAt: Timestamp,
  /** By an instructor: the join code does not let them in again. */
  isTakenOut: Type.Boolean(),
  /** Hand-ins that stay. */
  handIns: Type.Integer(),
})
export type FormerMember = Static<typeof FormerMember>

/** `former`: instructors see it, the last to go first. */
export const MemberList = Type.Object({ members: Type.Array(Member), former: Type.Array(FormerMember) })
export type MemberList = Static<typeof MemberList>

/** Body of `PATCH /api/courses/:courseId/members/:userId`. */
export const MemberPatch = Type.Object({ role: CourseRole }, { additionalProperties: false })
export type MemberPatch = Static<typeof MemberPatch>

export const CourseParams = Type.Object({ courseId: Id })
export type CourseParams = Static<typeof CourseParams>

export const MemberParams = Type.Object({ courseId: Id, userId: Id })
export type MemberParams = Static<typeof MemberParams>
