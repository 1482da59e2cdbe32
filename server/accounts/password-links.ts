import { randomBytes } from 'node:crypto'
import type { Database } from '../store/database.ts'
import { keepPasswordLink } from '../store/passwords.ts'

const dayMs = 86_400_000

/** A token for a link that sets a password within a day, once. Its hash alone is kept. */
export async function makePasswordLink(
  database: Database,
  userId: string,
  by: { readonly actorId: string | null; readonly courseId?: string },
  now: Date = new Date(),
): Promise<{ readonly token: string; readonly expiresAt: Date }> {
  const token = randomBytes(24).toString('base64url')
  const expiresAt = new Date(now.getTime() + dayMs)
  await keepPasswordLink(database, userId, token, expiresAt, by)
  return { token, expiresAt }
}
