import { defineConfig } from 'prisma/config'

// `generate`, `validate` and `format` insist on an engine program but never run it; any executable will do for them.
// Never for `migrate`: with a do-nothing program it would report success having done nothing (docs/decisions/002).
if (process.argv.some((word) => ['generate', 'validate', 'format'].includes(word)))
  process.env['PRISMA_SCHEMA_ENGINE_BINARY'] ??= process.execPath

export default defineConfig({
  schema: 'prisma/schema.prisma',
  migrations: { path: 'prisma/migrations' },
  datasource: { url: process.env['DATABASE_URL'] ?? 'postgresql://localhost/none' },
})
