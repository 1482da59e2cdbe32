import type { Database } from './database.ts'

/** A grader that has not written for so long is gone. It writes every `beatSeconds`. */
const silentSeconds = 20
export const beatSeconds = 5
/** Gradings of which the mean time is taken. */
const recent = 50

/** Says that a grader lives. The clock is the database's, since those of several computers differ. */
export async function noteLiving({ prisma }: Database, id: string, threads: number): Promise<void> {
  await prisma.$executeRaw`
    insert into "LiveGrader" (id, threads, "seenAt") values (${id}, ${threads}, now())
    on conflict (id) do update set threads = excluded.threads, "seenAt" = now()`
  await prisma.$executeRaw`delete from "LiveGrader" where "seenAt" < now() - interval '1 day'`
}

export async function noteLeaving({ prisma }: Database, id: string): Promise<void> {
  await prisma.$executeRaw`delete from "LiveGrader" where id = ${id}`
}

/** Threads of all graders that live. */
export async function countLiveThreads({ prisma }: Database): Promise<number> {
  const [row] = await prisma.$queryRaw<{ threads: bigint | null }[]>`
    select sum(threads) as threads from "LiveGrader" where "seenAt" > now() - make_interval(secs => ${silentSeconds})`
  return Number(row?.threads ?? 0n)
}

/** Seconds that a grading took on average, of the last ones; a second where none was made yet. */
export async function usualSeconds({ prisma }: Database): Promise<number> {
  const [row] = await prisma.$queryRaw<{ seconds: number | null }[]>`
    select avg(extract(epoch from "gradedAt" - "startedAt"))::float8 as seconds from (
      select "gradedAt", "startedAt" from "Submission"
      where state = 'graded' and "startedAt" is not null order by arrival desc limit ${recent}
    ) s`
  return row?.seconds ?? 1
}
