import type { Wait } from '../contract/index.ts'
import { placeInQueue } from '../grader/fair-order.ts'
import { gradeQueue } from '../grader/queue.ts'
import type { Database } from '../store/database.ts'
import { countLiveThreads, usualSeconds } from '../store/live-graders.ts'

/** Where a submission that waits stands, and for how long it may; null where it waits no more. */
export async function waitOf(database: Database, submissionId: string): Promise<Wait | null> {
  const ahead = await placeInQueue(database, gradeQueue, submissionId)
  if (ahead === null) return null
  const threads = await countLiveThreads(database)
  if (threads === 0) return { ahead, expectedSeconds: null, isGraderLive: false }
  // Those before it, one of each thread that is at work now, and its own.
  const rounds = Math.ceil((ahead + 1) / threads) + 1
  return { ahead, expectedSeconds: Math.ceil(rounds * (await usualSeconds(database))), isGraderLive: true }
}
