import { Counter, Gauge, Histogram, Registry } from 'prom-client'
import type { GraderPool } from '../grader/pool.ts'

/** What a process counts and measures, for Prometheus; names and labels tell of no person. */
export interface Metrics {
  readonly registry: Registry
  readonly requests: Histogram<'method' | 'route' | 'status'>
  readonly problems: Counter<'code'>
  readonly signIns: Counter<'outcome'>
  readonly work: Histogram<'kind' | 'outcome'>
  readonly jobs: Gauge<'queue'>
  readonly oldest: Gauge<'queue'>
  readonly graderThreads: Gauge
  readonly sockets: Gauge
}

const prefix = 'hexcairn'
/** Seconds; a grade takes a tenth of one, a search for causes some, and both have a limit of half a minute. */
const workBuckets = [0.01, 0.03, 0.1, 0.3, 1, 3, 10, 30]
const requestBuckets = [0.005, 0.01, 0.03, 0.1, 0.3, 1, 3, 10]

export function openMetrics(): Metrics {
  const registry = new Registry()
  const registers = [registry]
  return {
    registry,
    requests: new Histogram({
      name: `${prefix}_http_request_seconds`,
      help: 'Time to answer a request, by the pattern of its route.',
      labelNames: ['method', 'route', 'status'],
      buckets: requestBuckets,
      registers,
    }),
    problems: new Counter({
      name: `${prefix}_problems_total`,
      help: 'Requests that were refused or failed, by the code that was answered.',
      labelNames: ['code'],
      registers,
    }),
    signIns: new Counter({
      name: `${prefix}_sign_ins_total`,
      help: 'Attempts to sign in: succeeded, failed, refused, or the sixtieth name from one address (noticed).',
      labelNames: ['outcome'],
      registers,
    }),
    work: new Histogram({
      name: `${prefix}_work_seconds`,
      help: 'Time in a grader thread of this process, for a grade or a diagnosis.',
      labelNames: ['kind', 'outcome'],
      buckets: workBuckets,
      registers,
    }),
    jobs: new Gauge({
      name: `${prefix}_queue_jobs`,
      help: 'Jobs that wait or are worked on, of all processes.',
      labelNames: ['queue'],
      registers,
    }),
    oldest: new Gauge({
      name: `${prefix}_queue_oldest_seconds`,
      help: 'Since when the oldest job that nobody has taken waits; 0 where none does.',
      labelNames: ['queue'],
      registers,
    }),
    graderThreads: new Gauge({
      name: `${prefix}_grader_threads`,
      help: 'Grader threads that gave a sign of life in the last twenty seconds, of all processes.',
      registers,
    }),
    sockets: new Gauge({ name: `${prefix}_sockets`, help: 'Open websockets of this process.', registers }),
  }
}

/** The same pool, with what it does measured. */
export function measured(pool: GraderPool, { work }: Metrics): GraderPool {
  const time = async <T>(kind: 'grade' | 'diagnosis', does: Promise<T>): Promise<T> => {
    const end = work.startTimer({ kind })
    try {
      const result = await does
      end({ outcome: result === 'stood-aside' ? 'stood-aside' : 'done' })
      return result
    } catch (error) {
      end({ outcome: 'failed' })
      throw error
    }
  }
  return {
    size: pool.size,
    grade: (inputs, onProgress) => time('grade', pool.grade(inputs, onProgress)),
    diagnose: (inputs, aside) => time('diagnosis', pool.diagnose(inputs, aside)),
    warm: () => pool.warm(),
    close: () => pool.close(),
  }
}
