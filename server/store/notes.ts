import type { Prisma } from '../generated/prisma/client.ts'
import type { CourseRole } from '../contract/index.ts'
import { writeAudit } from './audit.ts'
import type { Database } from './database.ts'
import { tellNews, type SubmissionPlace } from './news.ts'

const noteFields = {
  id: true,
  submissionId: true,
  author: { select: { id: true, displayName: true } },
  authorRole: true,
  caseId: true,
  step: true,
  toStep: true,
  view: true,
  text: true,
  replyToId: true,
  replyTo: { select: { isReleased: true } },
  isReleased: true,
  savedAnswerId: true,
  createdAt: true,
} satisfies Prisma.NoteSelect

export type NoteRow = Prisma.NoteGetPayload<{ select: typeof noteFields }>

/** Notes, and replies to notes, that a student may see. */
export const releasedNotes = {
  OR: [{ replyToId: null, isReleased: true }, { replyTo: { isReleased: true } }],
} satisfies Prisma.NoteWhereInput

export async function listNotes({ prisma }: Database, submissionId: string, isAll: boolean): Promise<NoteRow[]> {
  return prisma.note.findMany({
    where: { submissionId, ...(isAll ? {} : releasedNotes) },
    select: noteFields,
    orderBy: { createdAt: 'asc' },
  })
}

export async function findNote({ prisma }: Database, noteId: string): Promise<NoteRow | null> {
  return prisma.note.findUnique({ where: { id: noteId }, select: noteFields })
}

export async function countHeldNotes({ prisma }: Database, submissionId: string): Promise<number> {
  return prisma.note.count({ where: { submissionId, replyToId: null, isReleased: false } })
}

export interface NoteData {
  readonly text: string
  readonly caseId: string | null
  readonly step: number | null
  readonly toStep: number | null
  readonly view: string | null
  readonly isReleased: boolean
  readonly savedAnswerId: string | null
}

export interface Author {
  readonly id: string
  readonly role: CourseRole
}

/** Writes a note; a saved answer in it counts one more use. */
export async function addNote(
  { prisma }: Database,
  author: Author,
  place: SubmissionPlace,
  data: NoteData,
): Promise<NoteRow> {
  const { submissionId, courseId } = place
  return prisma.$transaction(async (tx) => {
    const note = await tx.note.create({
      data: { submissionId, authorId: author.id, authorRole: author.role, ...data },
      select: noteFields,
    })
    if (data.savedAnswerId !== null)
      await tx.savedAnswer.update({
        where: { id: data.savedAnswerId },
        data: { uses: { increment: 1 }, lastUsedAt: new Date() },
        select: { id: true },
      })
    await writeAudit(tx, {
      actorId: author.id,
      action: 'note-written',
      objectKind: 'submission',
      objectId: submissionId,
      courseId,
      detail: { noteId: note.id, caseId: data.caseId, step: data.step, isReleased: data.isReleased },
    })
    await tellNews(tx, { kind: 'note-added', ...place, noteId: note.id, isReleased: data.isReleased })
    return note
  })
}

/** `root` is the first note of the thread. */
export async function addReply(
  { prisma }: Database,
  author: Author,
  place: SubmissionPlace,
  root: { readonly id: string; readonly isReleased: boolean },
  text: string,
): Promise<NoteRow> {
  const { submissionId, courseId } = place
  return prisma.$transaction(async (tx) => {
    const note = await tx.note.create({
      data: { submissionId, authorId: author.id, authorRole: author.role, text, replyToId: root.id },
      select: noteFields,
    })
    await writeAudit(tx, {
      actorId: author.id,
      action: 'note-answered',
      objectKind: 'submission',
      objectId: submissionId,
      courseId,
      detail: { noteId: note.id, replyTo: root.id },
    })
    await tellNews(tx, { kind: 'note-added', ...place, noteId: note.id, isReleased: root.isReleased })
    return note
  })
}

/** Shows the student all notes written so far. */
export async function releaseNotes({ prisma }: Database, actorId: string, place: SubmissionPlace): Promise<void> {
  const { submissionId, courseId } = place
  await prisma.$transaction(async (tx) => {
    const released = await tx.note.updateMany({
      where: { submissionId, replyToId: null, isReleased: false },
      data: { isReleased: true },
    })
    if (released.count === 0) return
    await writeAudit(tx, {
      actorId,
      action: 'notes-released',
      objectKind: 'submission',
      objectId: submissionId,
      courseId,
      detail: { notes: released.count },
    })
    await tellNews(tx, { kind: 'notes-released', ...place })
  })
}
