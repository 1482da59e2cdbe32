import type { FastifyBaseLogger } from 'fastify'
import type { Database } from '../store/database.ts'
import { giveUp, noteFailedAttempt, takeUp, tellProgress, writeReport } from '../store/grading.ts'
import type { GraderPool } from './pool.ts'
import type { GradeJob, Queue } from './queue.ts'

/** How long a grader sleeps when the queue was empty and nobody woke it. */
const pollMs = 1000
/** Progress is told at most this often for one submission. */
const progressMs = 250

export interface Grader {
  /** There may be something in the queue. */
  wake(): void
  /** Takes no more jobs and waits for those under way for up to `graceMs`; what is left goes back to the queue. */
  stop(graceMs: number): Promise<void>
}

export interface GraderParts {
  readonly database: Database
  readonly queue: Queue
  readonly pool: GraderPool
  readonly log: Pick<FastifyBaseLogger, 'info' | 'warn' | 'error'>
}

/** Takes jobs as long as threads are free. */
export function startGrader({ database, queue, pool, log }: GraderParts): Grader {
  const underWay = new Map<string, Promise<void>>()
  let isStopping = false
  let isAwake = false
  let rouse: (() => void) | null = null

  function wake(): void {
    isAwake = true
    rouse?.()
  }

  async function sleep(): Promise<void> {
    if (!isAwake)
      await new Promise<void>((resolve) => {
        const timer = setTimeout(resolve, pollMs)
        rouse = () => {
          clearTimeout(timer)
          resolve()
        }
      })
    rouse = null
    isAwake = false
  }

  async function run(): Promise<void> {
    while (!isStopping) {
      try {
        const free = pool.size - underWay.size
        const taken = free > 0 ? await queue.take(free) : []
        for (const job of taken) {
          const work = grade(job).finally(() => {
            underWay.delete(job.id)
            wake()
          })
          underWay.set(job.id, work)
        }
        if (taken.length === 0 && free > 0) await buryGivenUp()
      } catch (error) {
        log.error(error, 'the queue could not be read')
        await new Promise((resolve) => setTimeout(resolve, pollMs))
      }
      if (!isStopping) await sleep()
    }
  }

  async function grade(job: GradeJob): Promise<void> {
    try {
      const taken = await takeUp(database, job.submissionId)
      if (taken === null) return await queue.finish(job)
      let told = 0
      try {
        const report = await pool.grade(
          { program: taken.program, document: taken.document, seed: taken.seed, boardId: taken.boardId },
          (progress) => {
            const now = Date.now()
            if (now - told < progressMs) return
            told = now
            tellProgress(database, taken.place, progress).catch((error: unknown) =>
              log.warn(error, 'progress not told'),
            )
          },
        )
        if (!(await writeReport(database, taken, report)))
          log.warn({ submissionId: job.submissionId, attempt: taken.attempt }, 'a later attempt has the result')
        await queue.finish(job)
      } catch (error) {
        const reason = error instanceof Error ? error.message : String(error)
        if (!isStopping) log.error(error, `grading of ${job.submissionId} failed, attempt ${taken.attempt}`)
        await noteFailedAttempt(database, taken, reason)
        await queue.giveBack(job, reason)
        wake()
      }
    } catch (error) {
      // The job stays ours until it expires, and then comes back by itself.
      log.error(error, `the queue lost touch with ${job.submissionId}`)
    }
  }

  async function buryGivenUp(): Promise<void> {
    for (const job of await queue.takeGivenUp()) {
      await giveUp(database, job.submissionId)
      await queue.finishGivenUp(job)
    }
  }

  const running = run()
  return {
    wake,
    stop: async (graceMs) => {
      isStopping = true
      wake()
      const rest = Promise.all([running, ...underWay.values()])
      const grace = new Promise<'late'>((resolve) => setTimeout(() => resolve('late'), graceMs).unref())
      const outcome = await Promise.race([rest, grace])
      // Stopping the threads makes the tasks under way fail, and so gives their jobs back.
      await pool.close()
      if (outcome === 'late') await rest
    },
  }
}
