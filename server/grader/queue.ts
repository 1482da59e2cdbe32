import PgBoss from 'pg-boss'
import type { Database, Transaction } from '../store/database.ts'
import { queueConnectionOf } from '../store/database.ts'
import { claimFairly, prepareFairOrder, type JobOwner } from './fair-order.ts'

export interface Job {
  readonly id: string
  readonly submissionId: string
  /** Somebody asked for it, and waits. */
  readonly isAsked: boolean
}

export interface EnqueueOptions {
  readonly owner: JobOwner
  readonly isAsked?: boolean
}

/** Jobs of one sort. */
export interface Lane {
  /** Puts a submission in the queue as part of the transaction that writes it. */
  enqueue(transaction: Transaction, submissionId: string, of: EnqueueOptions): Promise<void>
  /** Takes up to `count` jobs; each belongs to the taker until it finishes it, gives it back, or falls silent for too long. */
  take(count: number): Promise<readonly Job[]>
  finish(job: Job): Promise<void>
  /** After a failed attempt: the job comes back, or goes to the given-up ones after the last attempt. */
  giveBack(job: Job, reason: string): Promise<void>
  /** After an attempt that would fail again in the same way: the job goes to the given-up ones at once. */
  giveUpNow(job: Job, reason: string): Promise<void>
  /** The job waits again as if nobody had taken it. */
  putBack(job: Job): Promise<void>
  /** Takes jobs whose last attempt failed. */
  takeGivenUp(): Promise<readonly Job[]>
  finishGivenUp(job: Job): Promise<void>
  /** Returns jobs that were being worked on to the queue; right only when no other process can be working. */
  returnOrphans(): Promise<number>
}

export interface Queue {
  /** In turns, as `claimFairly` says. */
  readonly grades: Lane
  /** Searches for causes, taken only when no grade waits; newest first, as that report is being read now. */
  readonly diagnoses: Lane
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

/** The queue lives in the schema `pgboss` of the same database. */
export async function openQueue(database: Database, options: QueueOptions): Promise<Queue> {
  const connection = database.queueConnection
  const boss = new PgBoss({
    ...('executeSql' in connection ? { db: connection } : { ...connection, max: 4 }),
    schema: 'pgboss',
    schedule: false,
    supervise: options.isSupervising ?? true,
    // Expired jobs come back at maintenance only; the library's default of two minutes is long for somebody who waits.
    maintenanceIntervalSeconds: 5,
  })
  boss.on('error', options.onError)
  const close = (): Promise<void> => boss.stop({ graceful: false, wait: true, close: true })
  try {
    // The library makes its tables and queues in steps of which two processes at once would fail some.
    return await database.exclusively(async () => {
      await boss.start()
      await prepareFairOrder(database)
      return {
        grades: await openLane(boss, database, gradeQueue, () => 0, options),
        diagnoses: await openLane(boss, database, diagnoseQueue, secondsSince2026, options),
        close,
      }
    })
  } catch (error) {
    await close().catch(() => {})
    throw error
  }
}

/** Name of the queue of grades. */
export const gradeQueue = 'grade'
const diagnoseQueue = 'diagnose'
export const queueNames: readonly string[] = [gradeQueue, diagnoseQueue]

/** Whole seconds, as a priority takes 32 bits. */
function secondsSince2026(): number {
  return Math.floor((Date.now() - Date.UTC(2026, 0, 1)) / 1000)
}

async function openLane(
  boss: PgBoss,
  database: Database,
  name: string,
  priorityNow: () => number,
  options: QueueOptions,
): Promise<Lane> {
  const givenUp = `${name}-given-up`
  await boss.createQueue(givenUp)
  const settings = {
    name,
    retryLimit: (options.attempts ?? 3) - 1,
    retryDelay: 0,
    expireInSeconds: options.graderSeconds,
    deadLetter: givenUp,
  }
  await boss.createQueue(name, settings)
  await boss.updateQueue(name, settings)

  async function take(queue: string, batchSize: number): Promise<Job[]> {
    const taken = await boss.fetch<{ submissionId: string; isAsked: boolean }>(queue, { batchSize })
    return taken.map(({ id, data }) => ({ id, submissionId: data.submissionId, isAsked: data.isAsked }))
  }

  return {
    enqueue: async (transaction, submissionId, { owner, isAsked = false }) => {
      const data = { submissionId, isAsked, ...owner }
      await boss.send(name, data, { db: queueConnectionOf(transaction), priority: priorityNow() })
    },
    take: async (count) => {
      if (name !== gradeQueue) return take(name, count)
      const claimed = await claimFairly(database, name, count)
      return claimed.map(({ id, data }) => ({ id, submissionId: data.submissionId, isAsked: data.isAsked ?? false }))
    },
    finish: (job) => boss.complete(name, job.id),
    giveBack: (job, reason) => boss.fail(name, job.id, { reason }),
    giveUpNow: async (job, reason) => {
      // No attempt is left: the library puts the job among the given-up ones as after the last.
      await database.prisma.$executeRaw`
        update pgboss.job set retry_count = retry_limit where name = ${name} and id = ${job.id}::uuid`
      await boss.fail(name, job.id, { reason })
    },
    putBack: async (job) => {
      // With a time of start the library would count it as an attempt.
      await database.prisma.$executeRaw`
        update pgboss.job set state = 'created', started_on = null
        where name = ${name} and id = ${job.id}::uuid and state = 'active'`
    },
    takeGivenUp: () => take(givenUp, 20),
    finishGivenUp: (job) => boss.complete(givenUp, job.id),
    returnOrphans: () =>
      database.prisma.$executeRaw`
        update pgboss.job set state = 'retry', start_after = now() where name = ${name} and state = 'active'`,
  }
}
