import type { FastifyInstance } from 'fastify'
import type { Report } from '../contract/index.ts'
import { addNote } from '../store/notes.ts'
import { findWithReports, listQueue } from '../store/reviews.ts'
import type { DemoClass } from './seed.ts'

/** The assistant has looked at one failing run already and pinned a note to the step where it went wrong. */
export async function leaveNotes(app: FastifyInstance, { courseId, assistantId }: DemoClass): Promise<void> {
  const { ids } = await listQueue(app.database, courseId, null, 50)
  for (const row of await findWithReports(app.database, ids)) {
    const first = (row.report as Report | null)?.firstWrong ?? null
    if (first === null) continue
    await addNote(
      app.database,
      { id: assistantId, role: 'assistant' },
      { submissionId: row.id, courseId, exerciseId: row.exerciseId, studentId: row.student.id },
      {
        text: 'Step back from here: which instruction last wrote what is wrong now?',
        caseId: first.caseId,
        step: first.step,
        toStep: null,
        view: null,
        isReleased: true,
        savedAnswerId: null,
      },
    )
    return
  }
}
