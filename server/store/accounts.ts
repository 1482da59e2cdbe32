import { createHash } from 'node:crypto'
import { Prisma } from '../generated/prisma/client.ts'
import type { Actor } from '../rights.ts'
import type { CourseRole } from '../contract/index.ts'
import { writeAudit } from './audit.ts'
import type { Database, Transaction } from './database.ts'

const actorFields = {
  id: true,
  userName: true,
  displayName: true,
  mayCreateCourses: true,
  // Whoever teaches a course may create another.
  memberships: { where: { role: 'instructor' }, select: { courseId: true }, take: 1 },
} satisfies Prisma.UserSelect

type ActorRow = Prisma.UserGetPayload<{ select: typeof actorFields }>

function toActor(row: ActorRow): Actor {
  return {
    id: row.id,
    userName: row.userName,
    displayName: row.displayName,
    mayCreateCourses: row.mayCreateCourses || row.memberships.length > 0,
  }
}

export async function findActor({ prisma }: Database, userId: string): Promise<Actor | null> {
  const row = await prisma.user.findFirst({ where: { id: userId, isDisabled: false }, select: actorFields })
  return row === null ? null : toActor(row)
}

/** Account and password hash for a sign-in; null for a name that is unknown or disabled. */
export async function findCredentials(
  { prisma }: Database,
  userName: string,
): Promise<{ id: string; passwordHash: string } | null> {
  return prisma.user.findFirst({
    where: { userNameKey: userName.toLowerCase(), isDisabled: false },
    select: { id: true, passwordHash: true },
  })
}

export async function noteSignIn(database: Database, userId: string): Promise<void> {
  await database.prisma.user.update({ where: { id: userId }, data: { signedInAt: new Date() } })
  await writeAudit(database.prisma, { actorId: userId, action: 'signed-in', objectKind: 'user', objectId: userId })
}

export interface AccountData {
  readonly userName: string
  readonly displayName: string
  readonly passwordHash: string
}

export type NewAccountResult =
  | { readonly kind: 'created'; readonly userId: string }
  | { readonly kind: 'name-taken' }
  | { readonly kind: 'code-unknown' }
  | { readonly kind: 'token-unknown' }

/** A student's account: the join code lets in and makes a member in one step. */
export async function createMemberAccount(
  database: Database,
  account: AccountData,
  joinCode: string,
): Promise<NewAccountResult> {
  return created(
    database.prisma.$transaction(async (tx) => {
      const course = await tx.course.findFirst({ where: { joinCode, isJoinable: true }, select: { id: true } })
      if (course === null) return { kind: 'code-unknown' } as const
      const user = await addUser(tx, account, false)
      await tx.membership.create({ data: { courseId: course.id, userId: user.id, role: 'student' } })
      await writeAudit(tx, {
        actorId: user.id,
        action: 'joined',
        objectKind: 'course',
        objectId: course.id,
        courseId: course.id,
      })
      return { kind: 'created', userId: user.id } as const
    }),
  )
}

/** The first account. The token is used up in the same step, so two people with one link make one account. */
export async function createFirstAccount(
  database: Database,
  account: AccountData,
  setUpToken: string,
  now: Date,
): Promise<NewAccountResult> {
  return created(
    database.prisma.$transaction(async (tx) => {
      const used = await tx.setUpToken.updateMany({
        where: { tokenHash: hashOf(setUpToken), usedAt: null, expiresAt: { gt: now } },
        data: { usedAt: now },
      })
      if (used.count !== 1) return { kind: 'token-unknown' } as const
      const user = await addUser(tx, account, true)
      return { kind: 'created', userId: user.id } as const
    }),
  )
}

async function addUser(tx: Transaction, account: AccountData, mayCreateCourses: boolean) {
  const user = await tx.user.create({
    data: { ...account, userNameKey: account.userName.toLowerCase(), mayCreateCourses },
    select: { id: true },
  })
  await writeAudit(tx, { actorId: user.id, action: 'account-created', objectKind: 'user', objectId: user.id })
  return user
}

async function created(result: Promise<NewAccountResult>): Promise<NewAccountResult> {
  try {
    return await result
  } catch (error) {
    if (isDuplicate(error)) return { kind: 'name-taken' }
    throw error
  }
}

export async function countAccounts({ prisma }: Database): Promise<number> {
  return prisma.user.count()
}

/** Keeps the hash of a new set-up token; the earlier ones end. */
export async function keepSetUpToken({ prisma }: Database, token: string, expiresAt: Date): Promise<void> {
  await prisma.$transaction([
    prisma.setUpToken.deleteMany({ where: { usedAt: null } }),
    prisma.setUpToken.create({ data: { tokenHash: hashOf(token), expiresAt } }),
  ])
}

export async function membershipsOf(
  { prisma }: Database,
  userId: string,
): Promise<{ courseId: string; courseTitle: string; role: CourseRole }[]> {
  const rows = await prisma.membership.findMany({
    where: { userId },
    select: { courseId: true, role: true, course: { select: { title: true } } },
    orderBy: { joinedAt: 'asc' },
  })
  return rows.map((row) => ({ courseId: row.courseId, courseTitle: row.course.title, role: row.role }))
}

export function hashOf(secret: string): string {
  return createHash('sha256').update(secret).digest('hex')
}

/** True for an error that says a unique value is there already. */
export function isDuplicate(error: unknown): boolean {
  return error instanceof Prisma.PrismaClientKnownRequestError && error.code === 'P2002'
}

/** Adds an account without code or token, for data that is made up. */
export async function addPerson(database: Database, account: AccountData, mayCreateCourses: boolean): Promise<string> {
  return (await database.prisma.$transaction((tx) => addUser(tx, account, mayCreateCourses))).id
}
