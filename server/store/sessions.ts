import type { Prisma } from '../generated/prisma/client.ts'
import { hashOf, isDuplicate } from './accounts.ts'
import type { Database } from './database.ts'

export interface SessionTimes {
  readonly idleSeconds: number
  readonly absoluteSeconds: number
}

export interface StoredSession {
  readonly userId?: string
  readonly [key: string]: unknown
}

/** A minute's grain is enough for the idle time and spares a write on every request. */
const grainMs = 60_000

/** The data of a session that has not ended, and notes that it was used. */
export async function readSession(
  { prisma }: Database,
  sessionId: string,
  times: SessionTimes,
  now: Date,
): Promise<StoredSession | null> {
  const idHash = hashOf(sessionId)
  const row = await prisma.session.findUnique({ where: { idHash } })
  if (row === null) return null
  const isOver =
    now.getTime() - row.seenAt.getTime() > times.idleSeconds * 1000 ||
    now.getTime() - row.createdAt.getTime() > times.absoluteSeconds * 1000
  if (isOver) {
    await prisma.session.deleteMany({ where: { idHash } })
    return null
  }
  if (now.getTime() - row.seenAt.getTime() > grainMs)
    await prisma.session.updateMany({ where: { idHash }, data: { seenAt: now } })
  return row.data as StoredSession
}

/** Those of the sessions that have not ended and whose person may sign in. Looking is no use: it keeps none of them alive. */
export async function sessionsAlive(
  { prisma }: Database,
  hashes: readonly string[],
  times: SessionTimes,
  now: Date,
): Promise<ReadonlySet<string>> {
  const rows = await prisma.session.findMany({
    where: {
      idHash: { in: [...hashes] },
      seenAt: { gte: new Date(now.getTime() - times.idleSeconds * 1000) },
      createdAt: { gte: new Date(now.getTime() - times.absoluteSeconds * 1000) },
      user: { isDisabled: false },
    },
    select: { idHash: true },
  })
  return new Set(rows.map(({ idHash }) => idHash))
}

export async function writeSession({ prisma }: Database, sessionId: string, session: StoredSession): Promise<void> {
  const idHash = hashOf(sessionId)
  const values = { userId: session.userId ?? null, data: JSON.parse(JSON.stringify(session)) as Prisma.InputJsonObject }
  try {
    await prisma.session.upsert({ where: { idHash }, create: { idHash, ...values }, update: values })
  } catch (error) {
    if (!isDuplicate(error)) throw error
    await prisma.session.update({ where: { idHash }, data: values })
  }
}

export async function endSession({ prisma }: Database, sessionId: string): Promise<void> {
  await prisma.session.deleteMany({ where: { idHash: hashOf(sessionId) } })
}

export async function dropOldSessions({ prisma }: Database, times: SessionTimes, now: Date): Promise<number> {
  const { count } = await prisma.session.deleteMany({
    where: {
      OR: [
        { seenAt: { lt: new Date(now.getTime() - times.idleSeconds * 1000) } },
        { createdAt: { lt: new Date(now.getTime() - times.absoluteSeconds * 1000) } },
      ],
    },
  })
  return count
}
