import { Prisma } from '../generated/prisma/client.ts'
import type { Database } from '../store/database.ts'

/** Whose hand-in a job is: the graders go round by course and by student. */
export interface JobOwner {
  readonly studentId: string
  readonly courseId: string
}

/**
 * Waiting jobs in the order in which they are taken. A student has one at a time; the courses take turns, within a course its
 * students do, the one first whose last turn is longest ago, and of one student the oldest comes first. Jobs that were
 * written before there were owners stand for themselves.
 */
const waiting = (queue: string) => Prisma.sql`
  with jobs as (
    select j.id, j.state, j.created_on, j.start_after,
      'student:' || coalesce(j.data->>'studentId', j.id::text) as student,
      'course:' || coalesce(j.data->>'courseId', '') as course
    from pgboss.job j where j.name = ${queue} and j.state in ('created', 'retry', 'active')
  ), busy as (
    select student, course, count(*) as jobs from jobs where state = 'active' group by student, course
  ), own as (
    select j.*, b.jobs as held,
      row_number() over (partition by j.student order by j.created_on, j.id) + coalesce(b.jobs, 0) as round
    from jobs j left join busy b on b.student = j.student and b.course = j.course
    where j.state <> 'active'
  ), in_course as (
    select o.*, t.at as turn,
      row_number() over (partition by o.course order by o.round, t.at nulls first, o.created_on, o.id)
        + coalesce((select sum(b.jobs) from busy b where b.course = o.course), 0) as nth
    from own o left join "GradeTurn" t on t.key = o.student
  )
  select i.id, i.student, i.course, i.start_after,
    exists (select 1 from busy b where b.student = i.student) as is_held,
    row_number() over (order by i.nth, c.at nulls first, i.created_on, i.id) as place
  from in_course i left join "GradeTurn" c on c.key = i.course`

/** One claim at a time, over all processes: two at once would each give a student a turn. */
const claimLock = 0x6772_6164

export interface Claimed {
  readonly id: string
  readonly data: { readonly submissionId: string; readonly isAsked?: boolean }
}

/** Takes up to `count` jobs of a queue in their fair order, each of another student. */
export async function claimFairly({ prisma }: Database, queue: string, count: number): Promise<readonly Claimed[]> {
  const [waits] = await prisma.$queryRaw<unknown[]>`
    select 1 from pgboss.job where name = ${queue} and state < 'active' limit 1`
  if (waits === undefined) return []
  return prisma.$transaction(async (tx) => {
    await tx.$executeRaw`select pg_advisory_xact_lock(${claimLock})`
    const chosen = await tx.$queryRaw<{ id: string; student: string; course: string }[]>`
      select id::text as id, student, course from (
        select w.*, row_number() over (partition by w.student order by w.place) as of_student
        from (${waiting(queue)}) w where not w.is_held and w.start_after <= now()
      ) free where of_student = 1 order by place limit ${count}`
    if (chosen.length === 0) return []
    // What the library itself does when a job is fetched: a second start counts as an attempt.
    const ids = chosen.map(({ id }) => id)
    const taken = await tx.$queryRaw<Claimed[]>`
      update pgboss.job set state = 'active', started_on = now(),
        retry_count = case when started_on is not null then retry_count + 1 else retry_count end
      where name = ${queue} and id = any(${ids}::uuid[]) and state < 'active'
      returning id::text as id, data`
    const turns = [...new Set(chosen.flatMap(({ student, course }) => [student, course]))]
    await tx.$executeRaw`
      insert into "GradeTurn" (key, at) select key, clock_timestamp() from unnest(${turns}::text[]) as key
      on conflict (key) do update set at = excluded.at`
    return ids.flatMap((id) => taken.filter((each) => each.id === id))
  })
}

/** How many jobs of a queue are taken before that of a submission; null where none of it waits. */
export async function placeInQueue({ prisma }: Database, queue: string, submissionId: string): Promise<number | null> {
  const [found] = await prisma.$queryRaw<{ place: bigint }[]>`
    select w.place from (${waiting(queue)}) w join pgboss.job j on j.id = w.id and j.name = ${queue}
    where j.data->>'submissionId' = ${submissionId}`
  return found === undefined ? null : Number(found.place) - 1
}
