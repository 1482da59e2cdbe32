import type { PrismaClient } from '../generated/prisma/client.ts'
import type { Transaction } from './database.ts'

export interface AuditEntry {
  readonly actorId: string | null
  /** What was done, in the past tense: `handed-in`, `role-changed`. */
  readonly action: string
  readonly objectKind: 'user' | 'course' | 'exercise' | 'submission'
  readonly objectId: string
  readonly courseId?: string
  readonly detail?: Readonly<Record<string, string | number | boolean | null>>
}

/** Adds one line to the log. Within a transaction it is there exactly when the deed was done. */
export async function writeAudit(via: Transaction | PrismaClient, entry: AuditEntry): Promise<void> {
  await via.auditEvent.create({ data: { ...entry, detail: entry.detail ?? {} }, select: { id: true } })
}
