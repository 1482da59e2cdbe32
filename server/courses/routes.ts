import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import {
  Course,
  CourseList,
  CourseParams,
  CoursePatch,
  JoinCode,
  JoinCourse,
  Member,
  MemberList,
  MemberParams,
  MemberPatch,
  NewCourse,
  Nothing,
} from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { actorOf, placeOf } from '../scopes.ts'
import {
  changeCourse,
  changeRole,
  createCourse,
  joinCourse,
  listCourses,
  listMembers,
  renewJoinCode,
  type MemberRow,
} from '../store/courses.ts'
import type { Database } from '../store/database.ts'
import { bringBack, leaveCourse, listFormerMembers } from '../store/former-members.ts'
import { describeCourse } from './describe-course.ts'
import { makeJoinCode, readJoinCode } from './join-code.ts'
import { requireTimeZone } from './time-zone.ts'

export const courseRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/courses',
    {
      schema: { tags: ['courses'], summary: 'My courses', response: { 200: CourseList } },
      config: { deed: 'list-courses' },
    },
    async (request) => {
      const rows = await listCourses(app.database, actorOf(request).id, new Date())
      return {
        courses: rows.map(({ course, role, exercises, students, nextDueAt }) => ({
          id: course.id,
          title: course.title,
          role,
          timeZone: course.timeZone,
          exercises,
          students: role === 'student' ? null : students,
          nextDueAt: nextDueAt?.toISOString() ?? null,
        })),
      }
    },
  )

  app.post(
    '/api/courses',
    {
      schema: { tags: ['courses'], summary: 'Create a course', body: NewCourse, response: { 201: Course } },
      config: { deed: 'create-course' },
    },
    async (request, reply) => {
      const { title, description = '', timeZone } = request.body
      requireTimeZone(timeZone)
      const course = await createCourse(
        app.database,
        actorOf(request).id,
        { title, description, timeZone },
        makeJoinCode,
      )
      reply.status(201)
      return describeCourse(app.database, course.id, 'instructor')
    },
  )

  app.post(
    '/api/courses/join',
    {
      schema: { tags: ['courses'], summary: 'Join a course by its code', body: JoinCourse, response: { 200: Course } },
      config: { deed: 'join-course' },
    },
    async (request) => {
      const { id } = actorOf(request)
      await app.throttle.joins.require(id)
      const result = await joinCourse(app.database, id, readJoinCode(request.body.code))
      if (result.kind === 'unknown') {
        await app.throttle.joins.take(id)
        throw new ApiError('join-code-unknown')
      }
      if (result.kind === 'taken-out') throw new ApiError('taken-out-of-course')
      if (result.kind === 'already') throw new ApiError('already-a-member')
      return describeCourse(app.database, result.courseId, 'student')
    },
  )

  app.get(
    '/api/courses/:courseId',
    {
      schema: { tags: ['courses'], summary: 'One course', params: CourseParams, response: { 200: Course } },
      config: { deed: 'see-course' },
    },
    async (request) => describeCourse(app.database, request.params.courseId, placeOf(request).role),
  )

  app.delete(
    '/api/courses/:courseId/membership',
    {
      schema: {
        tags: ['courses'],
        summary: 'Leave a course; my hand-ins stay',
        params: CourseParams,
        response: { 204: Nothing },
      },
      config: { deed: 'leave-course' },
    },
    async (request, reply) => {
      const { id } = actorOf(request)
      await endMembership(app.database, request.params.courseId, id, id)
      return reply.status(204).send(null)
    },
  )
}

/** Throws `not-found` for who is no member, and `last-instructor`. */
async function endMembership(database: Database, courseId: string, userId: string, actorId: string): Promise<void> {
  const result = await leaveCourse(database, actorId, courseId, userId)
  if (result === 'unknown') throw new ApiError('not-found')
  if (result === 'last-instructor') throw new ApiError('last-instructor')
}

export const courseStaffRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.patch(
    '/api/courses/:courseId',
    {
      schema: {
        tags: ['courses'],
        summary: 'Change a course',
        params: CourseParams,
        body: CoursePatch,
        response: { 200: Course },
      },
      config: { deed: 'change-course' },
    },
    async (request) => {
      if (request.body.timeZone !== undefined) requireTimeZone(request.body.timeZone)
      await changeCourse(app.database, actorOf(request).id, request.params.courseId, request.body)
      return describeCourse(app.database, request.params.courseId, placeOf(request).role)
    },
  )

  app.post(
    '/api/courses/:courseId/join-code',
    {
      schema: { tags: ['courses'], summary: 'Renew the join code', params: CourseParams, response: { 200: JoinCode } },
      config: { deed: 'change-course' },
    },
    async (request) => ({
      joinCode: await renewJoinCode(app.database, actorOf(request).id, request.params.courseId, makeJoinCode),
    }),
  )

  app.get(
    '/api/courses/:courseId/members',
    {
      schema: { tags: ['courses'], summary: 'Members', params: CourseParams, response: { 200: MemberList } },
      config: { deed: 'see-members' },
    },
    async (request) => {
      const { courseId } = request.params
      const former = placeOf(request).role === 'instructor' ? await listFormerMembers(app.database, courseId) : []
      return {
        members: (await listMembers(app.database, courseId)).map(toMember),
        former: former.map(({ user, role, leftAt, removedById, handIns }) => ({
          person: { id: user.id, displayName: user.displayName },
          userName: user.userName,
          role,
          leftAt: leftAt.toISOString(),
          isTakenOut: removedById !== null,
          handIns,
        })),
      }
    },
  )

  app.patch(
    '/api/courses/:courseId/members/:userId',
    {
      schema: {
        tags: ['courses'],
        summary: 'Give a member another role',
        params: MemberParams,
        body: MemberPatch,
        response: { 200: Member },
      },
      config: { deed: 'change-member' },
    },
    async (request) => {
      const { courseId, userId } = request.params
      const result = await changeRole(app.database, actorOf(request).id, courseId, userId, request.body.role)
      if (result === 'unknown') throw new ApiError('not-found')
      if (result === 'last-instructor') throw new ApiError('last-instructor')
      return toMember(result)
    },
  )

  app.delete(
    '/api/courses/:courseId/members/:userId',
    {
      schema: {
        tags: ['courses'],
        summary: 'Take a member out of the course; their hand-ins stay',
        params: MemberParams,
        response: { 204: Nothing },
      },
      config: { deed: 'change-member' },
    },
    async (request, reply) => {
      const { courseId, userId } = request.params
      await endMembership(app.database, courseId, userId, actorOf(request).id)
      return reply.status(204).send(null)
    },
  )

  app.put(
    '/api/courses/:courseId/members/:userId',
    {
      schema: {
        tags: ['courses'],
        summary: 'Bring a former member back in the role they had',
        params: MemberParams,
        response: { 200: Member },
      },
      config: { deed: 'change-member' },
    },
    async (request) => {
      const { courseId, userId } = request.params
      const member = await bringBack(app.database, actorOf(request).id, courseId, userId)
      if (member === null) throw new ApiError('not-found')
      return toMember(member)
    },
  )
}

function toMember({ user, role, joinedAt }: MemberRow): Member {
  return {
    person: { id: user.id, displayName: user.displayName },
    userName: user.userName,
    role,
    joinedAt: joinedAt.toISOString(),
  }
}
