import { hashOf } from './accounts.ts'
import { writeAudit } from './audit.ts'
import type { Database, Transaction } from './database.ts'
import { tellNews } from './news.ts'

/** Sets the password of somebody who is signed in; their other sessions end. */
export async function changePassword(
  { prisma }: Database,
  userId: string,
  passwordHash: string,
  keptSessionId: string,
): Promise<void> {
  await prisma.$transaction(async (tx) => {
    await setPassword(tx, userId, passwordHash, keptSessionId)
    await writeAudit(tx, { actorId: userId, action: 'password-changed', objectKind: 'user', objectId: userId })
  })
}

export async function passwordHashOf({ prisma }: Database, userId: string): Promise<string> {
  return (await prisma.user.findUniqueOrThrow({ where: { id: userId }, select: { passwordHash: true } })).passwordHash
}

/** Who may be sent a link by an instructor: `not-theirs` for whoever teaches, or is in a course where they do not. */
export async function mayMakeLinkFor(
  { prisma }: Database,
  instructorId: string,
  courseId: string,
  userId: string,
): Promise<'yes' | 'no-member' | 'not-theirs'> {
  const user = await prisma.user.findFirst({
    where: { id: userId, isDisabled: false, memberships: { some: { courseId } } },
    select: {
      mayCreateCourses: true,
      memberships: {
        select: {
          role: true,
          course: { select: { memberships: { where: { userId: instructorId, role: 'instructor' } } } },
        },
      },
    },
  })
  if (user === null) return 'no-member'
  const isTheirs = user.memberships.every(({ role, course }) => role !== 'instructor' && course.memberships.length > 0)
  return isTheirs && !user.mayCreateCourses ? 'yes' : 'not-theirs'
}

/** Keeps the hash of a token; earlier links of the same person end. `actorId` is null for whoever runs the server. */
export async function keepPasswordLink(
  { prisma }: Database,
  userId: string,
  token: string,
  expiresAt: Date,
  by: { readonly actorId: string | null; readonly courseId?: string },
): Promise<void> {
  await prisma.$transaction(async (tx) => {
    await tx.passwordLink.deleteMany({ where: { userId } })
    await tx.passwordLink.create({ data: { tokenHash: hashOf(token), userId, expiresAt } })
    await writeAudit(tx, { ...by, action: 'password-link-made', objectKind: 'user', objectId: userId })
  })
}

/** Null for a token that is unknown, used or run out. */
export async function findPasswordLink({ prisma }: Database, token: string, now: Date) {
  return prisma.passwordLink.findFirst({
    where: usable(token, now),
    select: { userId: true, expiresAt: true, user: { select: { userName: true, displayName: true } } },
  })
}

function usable(token: string, now: Date) {
  return { tokenHash: hashOf(token), expiresAt: { gt: now }, user: { isDisabled: false } }
}

/** Sets the password by a link, which is used up in the same step; all sessions end and no browser is known any more. */
export async function usePasswordLink(
  { prisma }: Database,
  token: string,
  passwordHash: string,
  now: Date,
): Promise<string | null> {
  return prisma.$transaction(async (tx) => {
    const link = await tx.passwordLink.findFirst({ where: usable(token, now), select: { userId: true } })
    if (link === null) return null
    const used = await tx.passwordLink.deleteMany({ where: { tokenHash: hashOf(token) } })
    if (used.count !== 1) return null
    const { userId } = link
    await setPassword(tx, userId, passwordHash, null)
    await tx.knownDevice.deleteMany({ where: { userId } })
    await writeAudit(tx, { actorId: userId, action: 'password-set-by-link', objectKind: 'user', objectId: userId })
    return userId
  })
}

export async function findUserByName({ prisma }: Database, userName: string): Promise<string | null> {
  const row = await prisma.user.findUnique({ where: { userNameKey: userName.toLowerCase() }, select: { id: true } })
  return row?.id ?? null
}

async function setPassword(
  tx: Transaction,
  userId: string,
  passwordHash: string,
  keptSessionId: string | null,
): Promise<void> {
  await tx.user.update({ where: { id: userId }, data: { passwordHash }, select: { id: true } })
  const others = {
    userId,
    ...(keptSessionId === null ? {} : { idHash: { not: hashOf(keptSessionId) } }),
  }
  const ended = await tx.session.findMany({ where: others, select: { idHash: true } })
  await tx.session.deleteMany({ where: others })
  for (const { idHash } of ended) await tellNews(tx, { kind: 'session-ended', sessionHash: idHash })
}
