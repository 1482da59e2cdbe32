import type { Database } from './database.ts'

const dayMs = 86_400_000
/** A hand-in whose answer was lost is sent again within minutes; a week leaves room for a holiday. */
const keyDays = 7
const tokenDays = 30

export interface Dropped {
  readonly keys: number
  readonly tokens: number
  readonly links: number
}

/** Removes idempotency keys, set-up tokens and password links that nobody can use any more. */
export async function dropOldRows({ prisma }: Database, now: Date): Promise<Dropped> {
  const before = (days: number): Date => new Date(now.getTime() - days * dayMs)
  const keys = await prisma.idempotencyKey.deleteMany({ where: { createdAt: { lt: before(keyDays) } } })
  const tokens = await prisma.setUpToken.deleteMany({ where: { expiresAt: { lt: before(tokenDays) } } })
  const links = await prisma.passwordLink.deleteMany({ where: { expiresAt: { lt: before(tokenDays) } } })
  return { keys: keys.count, tokens: tokens.count, links: links.count }
}
