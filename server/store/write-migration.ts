import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { openEmbedded } from './embedded.ts'
import { missingMigration, prismaFolder } from './migrations.ts'

// npx tsx server/store/write-migration.ts NAME: writes what leads from the migrations to the schema as a new migration.
const [, , name = ''] = process.argv
if (!/^[a-z][a-z0-9_]*$/.test(name)) {
  console.error(`Found the name '${name}', allowed small letters, digits and underscores.`)
  process.exit(2)
}
const database = await openEmbedded({ folder: null })
const sql = await missingMigration(database)
await database.close()
if (sql === null) console.log('The migrations lead to the schema already.')
else {
  const stamp = new Date().toISOString().replace(/\D/g, '').slice(0, 14)
  const folder = join(prismaFolder(), 'migrations', `${stamp}_${name}`)
  mkdirSync(folder)
  writeFileSync(join(folder, 'migration.sql'), sql)
  console.log(`Written: prisma/migrations/${stamp}_${name}/migration.sql. Read it before you commit it.`)
}
