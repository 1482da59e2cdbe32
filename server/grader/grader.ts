import { buryGivenUp, diagnoseJob, gradeJob, type GraderParts } from './jobs.ts'
import type { Job } from './queue.ts'

/** How long a grader sleeps when the queue was empty and nobody woke it. */
const pollMs = 1000

export interface Grader {
  /** A hand-in came: when every thread is busy, a search for causes stands aside for it. */
  makeWay(): void
  /** Takes no more jobs and waits for those under way for up to `graceMs`; what is left goes back to the queue. */
  stop(graceMs: number): Promise<void>
}

interface UnderWay {
  readonly work: Promise<void>
  /** Asks a search for causes to leave off; null for a grade. */
  readonly aside: Int32Array<SharedArrayBuffer> | null
}

/** Takes jobs as long as threads are free, grades first. */
export function startGrader(parts: GraderParts): Grader {
  const { queue, pool, log } = parts
  const underWay = new Map<string, UnderWay>()
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

  function begin(job: Job, aside: UnderWay['aside']): void {
    const isQuiet = (): boolean => isStopping
    const work = (aside === null ? gradeJob(parts, job, isQuiet) : diagnoseJob(parts, job, aside, isQuiet))
      // The job stays ours until it expires, and then comes back by itself.
      .catch((error: unknown) => log.error(error, `the queue lost touch with ${job.submissionId}`))
      .finally(() => {
        underWay.delete(job.id)
        wake()
      })
    underWay.set(job.id, { work, aside })
  }

  async function run(): Promise<void> {
    while (!isStopping) {
      try {
        const free = pool.size - underWay.size
        const grades = free > 0 ? await queue.grades.take(free) : []
        for (const job of grades) begin(job, null)
        // As long as grades come nothing else is begun.
        if (grades.length > 0) continue
        const searches = free > 0 ? await queue.diagnoses.take(free) : []
        for (const job of searches) begin(job, new Int32Array(new SharedArrayBuffer(4)))
        if (searches.length === 0 && free > 0) await buryGivenUp(parts)
      } catch (error) {
        log.error(error, 'the queue could not be read')
        await new Promise((resolve) => setTimeout(resolve, pollMs))
      }
      if (!isStopping) await sleep()
    }
  }

  function standAside({ aside }: UnderWay): void {
    if (aside !== null) Atomics.store(aside, 0, 1)
  }

  const running = run()
  return {
    makeWay: () => {
      const search = [...underWay.values()].findLast(({ aside }) => aside !== null && Atomics.load(aside, 0) === 0)
      if (underWay.size >= pool.size && search !== undefined) standAside(search)
      wake()
    },
    stop: async (graceMs) => {
      isStopping = true
      for (const each of underWay.values()) standAside(each)
      wake()
      const rest = Promise.all([running, ...[...underWay.values()].map(({ work }) => work)])
      const grace = new Promise<'late'>((resolve) => setTimeout(() => resolve('late'), graceMs).unref())
      const outcome = await Promise.race([rest, grace])
      // Stopping the threads makes the tasks under way fail, and so gives their jobs back.
      await pool.close()
      if (outcome === 'late') await rest
    },
  }
}
