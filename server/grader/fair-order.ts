import { Prisma } from '../generated/prisma/client.ts'
import type { Database } from '../store/database.ts'

/** Whose hand-in a job is: the graders go round by course and by student. */
export interface JobOwner {
  readonly studentId: string
  readonly courseId: string
}

/**
 * Makes the index that finds the jobs which wait or are worked on among all that are done. The table is the library's, which
 * makes it at its first start.
 */
export async function prepareFairOrder({ prisma }: Database): Promise<void> {
  await prisma.$transaction(async (tx) => {
    await tx.$executeRaw`select pg_advisory_xact_lock(${claimLock})`
    const [found] = await tx.$queryRaw<{ name: string | null }[]>`
      select to_regclass('pgboss.hexcairn_live_jobs')::text as name`
    // Making it takes the owner of the table, also where it is there.
    if (found?.name !== null) return
    await tx.$executeRaw`
      create index if not exists hexcairn_live_jobs on pgboss.job (name, state) where state <= 'active'`
  })
}

/**
 * Jobs that wait or are worked on, and how many of them each student has in each course. Jobs that were written before there
 * were owners stand for themselves. `ready`: the oldest that may be taken now.
 */
const liveJobs = (queue: string) => Prisma.sql`
  live as materialized (
    select id, state, created_on, start_after, data->>'submissionId' as submission,
      'student:' || coalesce(data->>'studentId', id::text) as student,
      'course:' || coalesce(data->>'courseId', '') as course
    from pgboss.job where name = ${queue} and state <= 'active'
  ), owners as (
    select o.*, coalesce(t.at, '-infinity') as turn from (
      select student, course,
        count(*) filter (where state = 'active') as busy, count(*) filter (where state < 'active') as waits,
        min(created_on) filter (where state < 'active') as oldest,
        min(created_on) filter (where state < 'active' and start_after <= now()) as ready
      from live group by student, course
    ) o left join "GradeTurn" t on t.key = o.student
  ), courses as (
    select c.*, coalesce(t.at, '-infinity') as turn from (
      select course, sum(busy) as busy, sum(waits) as waits, min(oldest) as oldest from owners group by course
    ) c left join "GradeTurn" t on t.key = c.course
  )`

/** One claim at a time, over all processes: two at once would each give a student a turn. */
const claimLock = 0x6772_6164

export interface Claimed {
  readonly id: string
  readonly data: { readonly submissionId: string; readonly isAsked?: boolean }
}

/**
 * Takes up to `count` jobs of a queue. A student has one at a time; the courses take turns, the one with the fewest jobs under
 * way first, within a course its students do, the one first whose last turn is longest ago, and of one student the oldest comes
 * first.
 */
export async function claimFairly({ prisma }: Database, queue: string, count: number): Promise<readonly Claimed[]> {
  const [waits] = await prisma.$queryRaw<unknown[]>`
    select 1 from pgboss.job where name = ${queue} and state < 'active' limit 1`
  if (waits === undefined) return []
  return prisma.$transaction(async (tx) => {
    await tx.$executeRaw`select pg_advisory_xact_lock(${claimLock})`
    const claimed: Claimed[] = []
    while (claimed.length < count) {
      // What the library itself does when a job is fetched: a second start counts as an attempt.
      const [taken] = await tx.$queryRaw<(Claimed & { student: string; course: string })[]>`
        with ${liveJobs(queue)}, next as (
          select o.student, o.course from owners o join courses c on c.course = o.course
          where o.ready is not null and o.student not in (select student from owners where busy > 0)
          order by c.busy, c.turn, c.oldest, c.course, o.turn, o.ready, o.student limit 1
        ), chosen as (
          select l.id, l.student, l.course from live l join next n on n.student = l.student and n.course = l.course
          where l.state < 'active' and l.start_after <= now() order by l.created_on, l.id limit 1
        )
        update pgboss.job j set state = 'active', started_on = now(),
          retry_count = case when j.started_on is not null then j.retry_count + 1 else j.retry_count end
        from chosen where j.name = ${queue} and j.id = chosen.id and j.state < 'active'
        returning j.id::text as id, j.data, chosen.student, chosen.course`
      if (taken === undefined) break
      const { id, data, student, course } = taken
      claimed.push({ id, data })
      await tx.$executeRaw`
        insert into "GradeTurn" (key, at) select key, clock_timestamp() from unnest(${[student, course]}::text[]) as key
        on conflict (key) do update set at = excluded.at`
    }
    return claimed
  })
}

/**
 * How many jobs of a queue are taken before that of a submission, as things stand; null where none of it waits. Counted over
 * the students and courses that wait: of each other one as many as have their turn before this one's, which is the order that
 * `placesInQueue` lists.
 */
export async function placeInQueue({ prisma }: Database, queue: string, submissionId: string): Promise<number | null> {
  const [found] = await prisma.$queryRaw<{ ahead: number }[]>`
    with ${liveJobs(queue)}, own as (
      select l.student, l.course, o.turn, o.oldest, count(*) as nth, count(*) + min(o.busy) as round
      from live l join owners o on o.student = l.student and o.course = l.course
        join live earlier on earlier.student = l.student and earlier.course = l.course and earlier.state < 'active'
          and (earlier.created_on, earlier.id) <= (l.created_on, l.id)
      where l.submission = ${submissionId} and l.state < 'active'
      group by l.id, l.student, l.course, o.turn, o.oldest
    ), in_course as (
      select own.course, c.turn, c.oldest, c.busy, own.nth - 1 + coalesce((
        select sum(least(o.waits, greatest(0, own.round - 1 - o.busy
          + case when (o.turn, o.oldest, o.student) < (own.turn, own.oldest, own.student) then 1 else 0 end)))
        from owners o where o.course = own.course and o.student <> own.student
      ), 0) as ahead from own join courses c on c.course = own.course
    )
    select (i.ahead + coalesce((
      select sum(least(c.waits, greatest(0, i.ahead + i.busy - c.busy
        + case when (c.turn, c.oldest, c.course) < (i.turn, i.oldest, i.course) then 1 else 0 end)))
      from courses c where c.course <> i.course
    ), 0))::int as ahead from in_course i limit 1`
  return found?.ahead ?? null
}

/** The submissions of all jobs that wait, in the order in which they are taken. It reads and sorts all of them. */
export async function placesInQueue({ prisma }: Database, queue: string): Promise<readonly string[]> {
  const [found] = await prisma.$queryRaw<{ order: readonly string[] | null }[]>`
    with ${liveJobs(queue)}, rounds as (
      select l.submission, l.id, l.student, l.course, l.created_on, o.turn, o.oldest,
        row_number() over (partition by l.student, l.course order by l.created_on, l.id) + o.busy as round
      from live l join owners o on o.student = l.student and o.course = l.course where l.state < 'active'
    ), in_course as (
      select r.submission, c.course, c.turn, c.oldest, c.busy
        + row_number() over (partition by r.course order by r.round, r.turn, r.oldest, r.student) as nth
      from rounds r join courses c on c.course = r.course
    )
    select jsonb_agg(submission order by nth, turn, oldest, course) as order from in_course`
  return found?.order ?? []
}
