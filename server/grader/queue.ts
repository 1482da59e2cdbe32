import PgBoss from 'pg-boss'
import type { Database, Transaction } from '../store/database.ts'
import { queueConnectionOf } from '../store/database.ts'

export interface GradeJob {
  readonly id: string
  readonly submissionId: string
}

export interface Queue {
  /** Puts a submission in the queue as part of the transaction that writes it. */
  enqueue(transaction: Transaction, submissionId: string): Promise<void>
  /** Takes up to `count` jobs; each belongs to the taker until it finishes it, gives it back, or falls silent for too long. */
  take(count: number): Promise<readonly GradeJob[]>
  finish(job: GradeJob): Promise<void>
  /** After a failed attempt: the job comes back, or goes to the given-up ones after the last attempt. */
  giveBack(job: GradeJob, reason: string): Promise<void>
  /** Takes jobs whose last attempt failed. */
  takeGivenUp(): Promise<readonly GradeJob[]>
  finishGivenUp(job: GradeJob): Promise<void>
  /** Returns jobs that were being worked on to the queue; right only when no other process can be working. */
  returnOrphans(): Promise<number>
  close(): Promise<void>
}

export interface QueueOptions {
  /** Seconds after which a taken job that nobody finished goes back to the queue. */
  readonly graderSeconds: number
  readonly onError: (error: Error) => void
  /** Attempts in all before a submission is given up; default 3. */
  readonly attempts?: number
  /** Looks for silent graders; every process of an installation may, default true. */
  readonly isSupervising?: boolean
}

const jobs = 'grade'
const givenUp = 'grade-given-up'

/** The queue lives in the schema `pgboss` of the same database. */
export async function openQueue(database: Database, options: QueueOptions): Promise<Queue> {
  const connection = database.queueConnection
  const boss = new PgBoss({
    ...('executeSql' in connection ? { db: connection } : { connectionString: connection.connectionString, max: 4 }),
    schema: 'pgboss',
    schedule: false,
    supervise: options.isSupervising ?? true,
    // Expired jobs come back at maintenance only; the library's default of two minutes is long for somebody who waits.
    maintenanceIntervalSeconds: 5,
  })
  boss.on('error', options.onError)
  await boss.start()
  await boss.createQueue(givenUp)
  const settings = {
    name: jobs,
    retryLimit: (options.attempts ?? 3) - 1,
    retryDelay: 0,
    expireInSeconds: options.graderSeconds,
    deadLetter: givenUp,
  }
  await boss.createQueue(jobs, settings)
  await boss.updateQueue(jobs, settings)

  async function take(queue: string, batchSize: number): Promise<GradeJob[]> {
    const taken = await boss.fetch<{ submissionId: string }>(queue, { batchSize })
    return taken.map((job) => ({ id: job.id, submissionId: job.data.submissionId }))
  }

  return {
    enqueue: async (transaction, submissionId) => {
      await boss.send(jobs, { submissionId }, { db: queueConnectionOf(transaction) })
    },
    take: (count) => take(jobs, count),
    finish: (job) => boss.complete(jobs, job.id),
    giveBack: (job, reason) => boss.fail(jobs, job.id, { reason }),
    takeGivenUp: () => take(givenUp, 20),
    finishGivenUp: (job) => boss.complete(givenUp, job.id),
    returnOrphans: () =>
      database.prisma.$executeRaw`
        update pgboss.job set state = 'retry', start_after = now() where name = ${jobs} and state = 'active'`,
    close: () => boss.stop({ graceful: false, wait: true, close: true }),
  }
}
