import type { Database } from './database.ts'
import { quoted } from './plain-sql.ts'

/**
 * Gives a user of the PostgreSQL server what servers and graders need, and takes everything else: rows of the tables and of
 * the queue, no tables made or changed, the audit trail only written on, the migrations only read. The user is there already.
 */
export async function grantServerRights(database: Database, user: string): Promise<void> {
  const to = quoted(user)
  await database.inLongTransaction('write', async (sql) => {
    for (const statement of [
      `revoke create on schema public from public, ${to}`,
      `revoke all on all tables in schema public, pgboss from ${to}`,
      `grant usage on schema public, pgboss to ${to}`,
      `grant select, insert, update, delete on all tables in schema public, pgboss to ${to}`,
      `grant usage, select on all sequences in schema public, pgboss to ${to}`,
      `grant execute on all functions in schema pgboss to ${to}`,
      `revoke update, delete on "AuditEvent" from ${to}`,
      `revoke insert, update, delete on _prisma_migrations from ${to}`,
    ])
      await sql.rows(statement)
  })
}
