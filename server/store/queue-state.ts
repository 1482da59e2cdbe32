import type { Database } from './database.ts'

export interface QueueState {
  readonly queue: string
  /** Jobs that wait or are worked on. */
  readonly jobs: number
  /** Since when the oldest that nobody has taken waits. */
  readonly oldestSeconds: number
}

/** The named queues, those without a job too. */
export async function queueStates({ prisma }: Database, queues: readonly string[]): Promise<readonly QueueState[]> {
  return prisma.$queryRaw<QueueState[]>`
    select q.name as queue, count(j.id)::int as jobs, coalesce(
      extract(epoch from now() - min(j.created_on) filter (where j.state < 'active')), 0)::float8 as "oldestSeconds"
    from unnest(${[...queues]}::text[]) as q(name) left join pgboss.job j on j.name = q.name and j.state <= 'active'
    group by q.name`
}
