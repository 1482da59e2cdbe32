import { hashOf, isDuplicate } from './accounts.ts'
import type { Database } from './database.ts'

/** Devices kept of one person; the one not seen for longest goes. */
const mostDevices = 20

/** Whether somebody has signed in from a device before. Asks the database for a user who does not exist too. */
export async function isKnownDevice({ prisma }: Database, userId: string | null, deviceId: string): Promise<boolean> {
  const id = { userId: userId ?? '', hash: hashFor(userId ?? '', deviceId) }
  return (await prisma.knownDevice.findUnique({ where: { userId_hash: id } })) !== null
}

export async function noteDevice({ prisma }: Database, userId: string, deviceId: string): Promise<void> {
  const id = { userId, hash: hashFor(userId, deviceId) }
  const seenAt = new Date()
  try {
    await prisma.knownDevice.upsert({ where: { userId_hash: id }, create: { ...id, seenAt }, update: { seenAt } })
  } catch (error) {
    if (!isDuplicate(error)) throw error
  }
  const old = await prisma.knownDevice.findMany({ where: { userId }, orderBy: { seenAt: 'desc' }, skip: mostDevices })
  if (old.length > 0)
    await prisma.knownDevice.deleteMany({ where: { userId, hash: { in: old.map(({ hash }) => hash) } } })
}

export async function forgetDevice({ prisma }: Database, userId: string, deviceId: string): Promise<void> {
  await prisma.knownDevice.deleteMany({ where: { userId, hash: hashFor(userId, deviceId) } })
}

export async function dropOldDevices({ prisma }: Database, seenBefore: Date): Promise<number> {
  const { count } = await prisma.knownDevice.deleteMany({ where: { seenAt: { lt: seenBefore } } })
  return count
}

function hashFor(userId: string, deviceId: string): string {
  return hashOf(`${userId} ${deviceId}`)
}
