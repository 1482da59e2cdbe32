import type { FastifyBaseLogger } from 'fastify'
import type { Database } from '../store/database.ts'
import { giveUpDiagnosis, takeForDiagnosis, writeDiagnosis } from '../store/diagnoses.ts'
import { giveUp, noteFailedAttempt, takeUp, tellProgress, writeReport } from '../store/grading.ts'
import { OutOfTime, type GraderPool } from './pool.ts'
import type { Job, Queue } from './queue.ts'

export interface GraderParts {
  readonly database: Database
  readonly queue: Queue
  readonly pool: GraderPool
  readonly log: Pick<FastifyBaseLogger, 'info' | 'warn' | 'error'>
}

/** Progress is told at most this often for one submission. */
const progressMs = 250

/** Grades what a job names. `isQuiet` says that a failure is no news, because the threads are being stopped. */
export async function gradeJob(parts: GraderParts, job: Job, isQuiet: () => boolean): Promise<void> {
  const { database, queue, pool, log } = parts
  const taken = await takeUp(database, job.submissionId)
  if (taken === null) return queue.grades.finish(job)
  let told = 0
  try {
    const report = await pool.grade(taken.inputs, (progress) => {
      const now = Date.now()
      if (now - told < progressMs) return
      told = now
      tellProgress(database, taken.place, progress).catch((error: unknown) => log.warn(error, 'progress not told'))
    })
    const isWritten = await writeReport(database, taken, report, (tx, id) =>
      queue.diagnoses.enqueue(tx, id, { owner: taken.place }),
    )
    if (!isWritten)
      log.warn({ submissionId: job.submissionId, attempt: taken.attempt }, 'a later attempt has the result')
    await queue.grades.finish(job)
  } catch (error) {
    const reason = reasonOf(error)
    if (!isQuiet()) log.error(error, `grading of ${job.submissionId} failed, attempt ${taken.attempt}`)
    await noteFailedAttempt(database, taken, reason)
    // The same program would take as much time and memory again, and hold up others while it does.
    if (isOfProgram(error)) await queue.grades.giveUpNow(job, reason)
    else await queue.grades.giveBack(job, reason)
  }
}

/** Looks for the causes of a failed hand-in; asked to stand aside it leaves the job as it found it. */
export async function diagnoseJob(
  { database, queue, pool, log }: GraderParts,
  job: Job,
  aside: Int32Array<SharedArrayBuffer>,
  isQuiet: () => boolean,
): Promise<void> {
  const taken = await takeForDiagnosis(database, job.submissionId, job.isAsked)
  if (taken === null) return queue.diagnoses.finish(job)
  try {
    const found = await pool.diagnose(taken.inputs, aside)
    if (found === 'stood-aside') return await queue.diagnoses.putBack(job)
    await writeDiagnosis(database, taken.place, found)
    await queue.diagnoses.finish(job)
  } catch (error) {
    if (!isQuiet()) log.error(error, `the search for causes of ${job.submissionId} failed`)
    await queue.diagnoses.giveBack(job, reasonOf(error))
  }
}

/** Settles what failed every time. */
export async function buryGivenUp({ database, queue }: GraderParts): Promise<void> {
  for (const job of await queue.grades.takeGivenUp()) {
    await giveUp(database, job.submissionId)
    await queue.grades.finishGivenUp(job)
  }
  for (const job of await queue.diagnoses.takeGivenUp()) {
    await giveUpDiagnosis(database, job.submissionId)
    await queue.diagnoses.finishGivenUp(job)
  }
}

/** A thread that ran out of time or memory; one that was killed, or lost its database, is another matter. */
function isOfProgram(error: unknown): boolean {
  const code = error instanceof Error && 'code' in error ? error.code : null
  return error instanceof OutOfTime || code === 'ERR_WORKER_OUT_OF_MEMORY'
}

function reasonOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error)
}
