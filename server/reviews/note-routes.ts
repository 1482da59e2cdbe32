import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyRequest } from 'fastify'
import { NewNote, NewReply, Note, NoteList, NoteParams, SubmissionParams } from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { isStaff } from '../rights.ts'
import { actorOf, placeOf, submissionPlaceOf } from '../scopes.ts'
import { addNote, addReply, findNote, listNotes, releaseNotes, type Author } from '../store/notes.ts'
import { toNote } from './describe-review.ts'
import { readNote } from './new-note.ts'
import { visibleCasesFor } from './visible-cases.ts'

export const noteRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/submissions/:submissionId/notes',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Notes on a submission; a student gets those that were released',
        params: SubmissionParams,
        response: { 200: NoteList },
      },
      config: { deed: 'see-notes' },
    },
    async (request) => {
      const { submissionId } = request.params
      const { role } = placeOf(request)
      const visible = await visibleCasesFor(app.database, role, submissionId)
      const rows = await listNotes(app.database, submissionId, isStaff(role))
      return { notes: rows.map((row) => toNote(row, visible)) }
    },
  )

  app.post(
    '/api/submissions/:submissionId/notes/:noteId/replies',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Answer a note',
        params: NoteParams,
        body: NewReply,
        response: { 201: Note },
      },
      config: { deed: 'answer-note' },
    },
    async (request, reply) => {
      const place = submissionPlaceOf(request)
      const { role } = placeOf(request)
      const answered = await findNote(app.database, request.params.noteId)
      if (answered === null || answered.submissionId !== place.submissionId) throw new ApiError('not-found')
      const isReleased = answered.replyTo?.isReleased ?? answered.isReleased
      // To a student a note that was not released does not exist.
      if (!isReleased && !isStaff(role)) throw new ApiError('not-found')
      const root = { id: answered.replyToId ?? answered.id, isReleased }
      const row = await addReply(app.database, authorOf(request), place, root, request.body.text)
      reply.status(201)
      return toNote(row, await visibleCasesFor(app.database, role, place.submissionId))
    },
  )
}

export const noteStaffRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.post(
    '/api/submissions/:submissionId/notes',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Pin a note to a step or a stretch of a run, or to the whole',
        params: SubmissionParams,
        body: NewNote,
        response: { 201: Note },
      },
      config: { deed: 'write-note' },
    },
    async (request, reply) => {
      const place = submissionPlaceOf(request)
      const data = await readNote(app.database, place, request.body)
      reply.status(201)
      return toNote(await addNote(app.database, authorOf(request), place, data), 'all')
    },
  )

  app.post(
    '/api/submissions/:submissionId/release',
    {
      schema: {
        tags: ['submissions'],
        summary: 'Show the student all notes written so far',
        params: SubmissionParams,
        response: { 200: NoteList },
      },
      config: { deed: 'write-note' },
    },
    async (request) => {
      const place = submissionPlaceOf(request)
      await releaseNotes(app.database, actorOf(request).id, place)
      return { notes: (await listNotes(app.database, place.submissionId, true)).map((row) => toNote(row, 'all')) }
    },
  )
}

function authorOf(request: FastifyRequest): Author {
  return { id: actorOf(request).id, role: placeOf(request).role }
}
