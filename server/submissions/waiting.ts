import type { Wait } from '../contract/index.ts'
import { placeInQueue, placesInQueue } from '../grader/fair-order.ts'
import { gradeQueue } from '../grader/queue.ts'
import type { Database } from '../store/database.ts'
import { countLiveThreads, usualSeconds } from '../store/live-graders.ts'

/** Where a submission that waits stands, and for how long it may; null where it waits no more. */
export async function waitOf(database: Database, submissionId: string): Promise<Wait | null> {
  const ahead = await placeInQueue(database, gradeQueue, submissionId)
  return ahead === null ? null : (await paceOf(database))(ahead)
}

/** The same for all that wait, by submission: for a process that has many to tell. */
export async function allWaits(database: Database): Promise<ReadonlyMap<string, Wait>> {
  const order = await placesInQueue(database, gradeQueue)
  const waitAt = await paceOf(database)
  return new Map(order.map((submissionId, ahead) => [submissionId, waitAt(ahead)]))
}

/** What standing behind so many means at the present pace of the graders. */
async function paceOf(database: Database): Promise<(ahead: number) => Wait> {
  const threads = await countLiveThreads(database)
  if (threads === 0) return (ahead) => ({ ahead, expectedSeconds: null, isGraderLive: false })
  const seconds = await usualSeconds(database)
  return (ahead) => {
    // Those before it, one of each thread that is at work now, and its own.
    const rounds = Math.ceil((ahead + 1) / threads) + 1
    return { ahead, expectedSeconds: Math.ceil(rounds * seconds), isGraderLive: true }
  }
}
