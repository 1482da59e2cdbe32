import { createHmac } from 'node:crypto'
import type { Database } from '../store/database.ts'
import { settingOnce } from '../store/settings.ts'
import { randomBytes } from 'node:crypto'

/**
 * Seed of a student's runs of one exercise: the same at every hand-in, another for every student, and not to be guessed
 * from ids.
 */
export async function seedFor(database: Database, exerciseId: string, studentId: string): Promise<number> {
  const secret = await settingOnce(database, 'seed-secret', () => randomBytes(32).toString('base64url'))
  return createHmac('sha256', secret).update(`${exerciseId} ${studentId}`).digest().readUInt32BE(0) & 0x7fff_ffff
}
