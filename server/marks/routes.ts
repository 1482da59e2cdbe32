import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import Type from 'typebox'
import { CourseParams, Marks } from '../contract/index.ts'
import { isStaff } from '../rights.ts'
import { actorOf, placeOf } from '../scopes.ts'
import { marksCsv } from './csv.ts'
import { readMarks } from './marks.ts'

export const markRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/courses/:courseId/marks',
    {
      schema: {
        tags: ['teaching'],
        summary: 'Marks: all for staff, own for a student',
        params: CourseParams,
        response: { 200: Marks },
      },
      config: { deed: 'see-marks' },
    },
    async (request) =>
      readMarks(app.database, request.params.courseId, isStaff(placeOf(request).role) ? null : actorOf(request).id),
  )
}

export const markStaffRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/courses/:courseId/marks.csv',
    {
      schema: {
        tags: ['teaching'],
        summary: 'Marks as CSV',
        params: CourseParams,
        response: { 200: { content: { 'text/csv': { schema: Type.String() } } } },
      },
      config: { deed: 'export-marks' },
    },
    async (request, reply) => {
      const marks = await readMarks(app.database, request.params.courseId, null)
      reply.header('content-disposition', 'attachment; filename="marks.csv"')
      return reply.type('text/csv; charset=utf-8; header=present').send(marksCsv(marks))
    },
  )
}
