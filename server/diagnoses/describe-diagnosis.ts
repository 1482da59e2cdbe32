import { conceptCards, feedbackFor, mergedFeedback, type CauseId } from '../../core/diagnosis/index.ts'
import { exerciseFor, type Exercise } from '../../core/exercise/index.ts'
import type { Cause, Counterexample, Diagnosis, Report } from '../contract/index.ts'
import { readStored } from '../exercises/describe-exercise.ts'
import { readSettings } from '../feedback/settings.ts'
import { isStaff, type Place } from '../rights.ts'
import type { Database } from '../store/database.ts'
import { findDiagnosisRow } from '../store/diagnoses.ts'
import type { FoundDiagnosis } from './found-diagnosis.ts'

/** What a search found, as a role may see it; the only way it leaves the server. */
export async function describeDiagnosis(
  database: Database,
  role: Place['role'],
  submissionId: string,
): Promise<Diagnosis> {
  const row = await findDiagnosisRow(database, submissionId)
  const stored = row.diagnosis as unknown as FoundDiagnosis | null
  const report = row.report as unknown as Report | null
  const exercise = exerciseFor(readStored(row.revision.document), row.seed)
  const found = isStaff(role) || report === null ? stored : stored && forStudent(stored, report, exercise)
  const settings = mergedFeedback(
    readSettings(row.exercise.course.feedback),
    exercise.feedback,
    readSettings(row.exercise.feedback),
  )
  const reader = isStaff(role) ? 'staff' : 'student'
  const feedback = report === null ? [] : feedbackFor({ report, diagnosis: found, exercise, settings, reader })
  const causes = found?.causes ?? []
  return {
    submissionId,
    state: row.diagnosisState,
    causes: [...causes],
    hint: found?.hint ?? null,
    repair: found?.repair ?? null,
    counterexample: found?.counterexample ?? null,
    questions: [...(found?.questions ?? [])],
    feedback: [...feedback],
    order: settings.order === null ? null : [...settings.order],
    cards: Object.fromEntries(
      causes.flatMap(({ card }) => (card !== null && isCauseId(card) ? [[card, conceptCards[card]]] : [])),
    ),
  }
}

function isCauseId(id: string): id is CauseId {
  return Object.hasOwn(conceptCards, id)
}

/** What shows on visible runs and checks alone; of the edit that would mend it as much as the exercise says. */
export function forStudent(found: FoundDiagnosis, report: Report, exercise: Exercise): FoundDiagnosis {
  // Of a check that tells its result alone, what is wanted stays unsaid here too.
  const told = new Set(report.checks.filter(({ isVisible, tells }) => isVisible && tells === 'gap').map(({ id }) => id))
  const seen = new Set(report.cases.filter(({ isVisible }) => isVisible).map(({ id }) => id))
  return {
    causes: found.causes.flatMap((cause) => causeForStudent(cause, told)),
    hint: exercise.repair === 'staff' ? null : found.hint,
    repair: exercise.repair === 'shown' ? found.repair : null,
    counterexample: isTold(found.counterexample, told) ? found.counterexample : null,
    questions: (found.questions ?? []).filter(({ checkId, caseId }) => told.has(checkId) && seen.has(caseId)),
  }
}

function causeForStudent(cause: Cause, told: ReadonlySet<string>): Cause[] {
  const checkIds = cause.checkIds.filter((id) => told.has(id))
  return cause.isVisible && checkIds.length > 0 ? [{ ...cause, checkIds }] : []
}

function isTold(found: Counterexample | null, told: ReadonlySet<string>): boolean {
  return found !== null && found.isVisible && found.check.isVisible && told.has(found.check.id)
}
