import type { NewNote } from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import type { Database } from '../store/database.ts'
import type { SubmissionPlace } from '../store/news.ts'
import type { NoteData } from '../store/notes.ts'
import { findSavedAnswer } from '../store/saved-answers.ts'
import { requireCase } from './visible-cases.ts'

/** What is to be written, or why it cannot be. */
export async function readNote(database: Database, place: SubmissionPlace, body: NewNote): Promise<NoteData> {
  const { caseId = null, step = null, toStep = null, view = null, isReleased = false, savedAnswerId = null } = body
  if ((caseId === null) !== (step === null)) throw refused('/caseId', 'one of caseId and step', 'both or neither')
  if (toStep !== null && (step === null || toStep < step))
    throw refused('/toStep', `a stretch from ${step ?? 'no step'} to ${toStep}`, 'an end at or after its step')
  if (caseId !== null) await requireCase(database, place.submissionId, caseId)
  const saved = savedAnswerId === null ? null : await findSavedAnswer(database, place.courseId, savedAnswerId)
  if (savedAnswerId !== null && saved === null)
    throw refused('/savedAnswerId', `the saved answer '${savedAnswerId}'`, 'one of this course')
  const text = body.text ?? saved?.text
  if (text === undefined) throw refused('/text', 'no text', 'a text or a saved answer')
  return { text, caseId, step, toStep, view, isReleased, savedAnswerId }
}

function refused(pointer: string, found: string, allowed: string): ApiError {
  return new ApiError('invalid-request', `Found ${found}, allowed ${allowed}.`, {
    faults: [{ pointer, message: `allowed: ${allowed}` }],
  })
}
