import { bindMigrationAwareSqlAdapterFactory } from '@prisma/driver-adapter-utils'
import { createHash } from 'node:crypto'
import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { join } from 'node:path'
import { pathToFileURL } from 'node:url'
import { packageRoot } from '../package-root.ts'
import { DatabaseFault } from './database-fault.ts'
import type { Database } from './database.ts'

interface MigrationList {
  readonly baseDir: string
  readonly lockfile: { readonly path: string; readonly content: string | null }
  readonly shadowDbInitScript: string
  readonly migrationDirectories: readonly {
    readonly path: string
    readonly migrationFile: { readonly path: string; readonly content: { readonly tag: 'ok'; readonly value: string } }
  }[]
}

interface Engine {
  applyMigrations(input: object): Promise<{ appliedMigrationNames: string[] }>
  diagnoseMigrationHistory(input: object): Promise<{
    readonly history: { readonly unpersistedMigrationNames?: readonly string[] } | null
    readonly editedMigrationNames: readonly string[]
    readonly failedMigrationNames: readonly string[]
  }>
  diff(input: object): Promise<{ exitCode: number; stdout: string | null }>
}

interface EngineModule {
  readonly SchemaEngine: { new: (options: object, log: () => void, adapter: object) => Promise<Engine> }
  __wbg_set_wasm(exports: object): void
}

/** The part of the platform's WebAssembly that is used; Node's own types leave it out. */
interface Wasm {
  readonly Module: new (bytes: Uint8Array) => object
  readonly Instance: new (module: object, imports: object) => { readonly exports: { __wbindgen_start?: () => void } }
}

const filters = { externalTables: [], externalEnums: [] }

let engineModule: Promise<EngineModule> | null = null

// Once a process: with a second instance the first one panics.
function loadEngine(): Promise<EngineModule> {
  engineModule ??= (async () => {
    const platform = globalThis as unknown as { WebAssembly: Wasm; PRISMA_WASM_PANIC_REGISTRY?: object }
    platform.PRISMA_WASM_PANIC_REGISTRY ??= {
      set_message: (message: string) => console.error(`schema engine: ${message}`),
    }
    const glue = createRequire(import.meta.url).resolve('@prisma/schema-engine-wasm/schema_engine_bg')
    const loaded = (await import(pathToFileURL(glue).href)) as EngineModule
    const binary = new platform.WebAssembly.Module(readFileSync(glue.replace(/\.js$/, '.wasm')))
    const instance = new platform.WebAssembly.Instance(binary, { './schema_engine_bg.js': withIdleTimers(loaded) })
    loaded.__wbg_set_wasm(instance.exports)
    instance.exports.__wbindgen_start?.()
    return loaded
  })()
  return engineModule
}

/**
 * The engine starts a timer of ten seconds while it waits for its lock and never stops it; as it stands, a process that ends
 * earlier is kept alive that long. Its timers must not hold the process.
 */
function withIdleTimers(loaded: EngineModule): Record<string, unknown> {
  const imports = { ...loaded } as Record<string, unknown>
  for (const [name, start] of Object.entries(imports)) {
    if (!name.startsWith('__wbg_setTimeout') || typeof start !== 'function') continue
    imports[name] = (...given: unknown[]): unknown => {
      const timer: unknown = start(...given)
      if (timer !== null && typeof timer === 'object' && 'unref' in timer && typeof timer.unref === 'function')
        timer.unref()
      return timer
    }
  }
  return imports
}

export function prismaFolder(): string {
  return join(packageRoot, 'prisma')
}

/** Names of the migrations of this program, oldest first. */
export function migrationNames(folder: string = prismaFolder()): readonly string[] {
  return readMigrations(folder).migrationDirectories.map(({ path }) => path)
}

function readMigrations(folder: string, last?: string): MigrationList {
  const baseDir = join(folder, 'migrations')
  const lockPath = join(baseDir, 'migration_lock.toml')
  return {
    baseDir,
    lockfile: { path: 'migration_lock.toml', content: existsSync(lockPath) ? readFileSync(lockPath, 'utf8') : null },
    shadowDbInitScript: '',
    migrationDirectories: readdirSync(baseDir, { withFileTypes: true })
      .filter((entry) => entry.isDirectory())
      .map((entry) => entry.name)
      .filter((name) => last === undefined || name <= last)
      .sort()
      .map((path) => ({
        path,
        migrationFile: {
          path: 'migration.sql',
          content: { tag: 'ok', value: readFileSync(join(baseDir, path, 'migration.sql'), 'utf8') },
        },
      })),
  }
}

async function withEngine<T>(database: Database, schema: string, use: (engine: Engine) => Promise<T>): Promise<T> {
  const { SchemaEngine } = await loadEngine()
  return database.withAdapter(async (adapter) =>
    use(
      await SchemaEngine.new(
        { datamodels: [['schema.prisma', schema]] },
        () => {},
        bindMigrationAwareSqlAdapterFactory(adapter),
      ),
    ),
  )
}

/**
 * Applies what is missing, up to the migration `last` where one is named, and names it; of several processes on one database
 * one does, the others wait. Throws a `DatabaseFault` when a newer program has been there, when a migration was edited after
 * it was applied, or failed before.
 */
export async function migrate(
  database: Database,
  folder: string = prismaFolder(),
  last?: string,
): Promise<readonly string[]> {
  const schema = readFileSync(join(folder, 'schema.prisma'), 'utf8')
  const migrationsList = readMigrations(folder, last)
  // Spares the engine at most starts, and needs no right but to read.
  if (await isUpToDate(database, migrationsList)) return []
  return database.exclusively(() =>
    withEngine(database, schema, async (engine) => {
      const found = await engine.diagnoseMigrationHistory({ migrationsList, optInToShadowDatabase: false, filters })
      const newer = found.history?.unpersistedMigrationNames ?? []
      if (newer.length > 0)
        throw new DatabaseFault(
          `A newer Hexcairn has changed this database (${newer.join(', ')}). Start that version, or a later one; nothing was changed.`,
        )
      if (found.editedMigrationNames.length > 0)
        throw new DatabaseFault(
          `These migrations were edited after they were applied: ${found.editedMigrationNames.join(', ')}.`,
        )
      if (found.failedMigrationNames.length > 0)
        throw new DatabaseFault(
          `A change of this database failed before (${found.failedMigrationNames.join(', ')}). Restore the backup made before it; nothing was changed.`,
        )
      return (await engine.applyMigrations({ migrationsList, filters })).appliedMigrationNames
    }),
  )
}

/** Whether exactly these migrations were applied, each with this very text. */
async function isUpToDate({ prisma }: Database, { migrationDirectories }: MigrationList): Promise<boolean> {
  const [found] = await prisma.$queryRaw<{ name: string | null }[]>`
    select to_regclass('_prisma_migrations')::text as name`
  if (found?.name === null) return false
  const rows = await prisma.$queryRaw<{ name: string; checksum: string; is_applied: boolean }[]>`
    select migration_name as name, checksum, finished_at is not null as is_applied from _prisma_migrations
    where rolled_back_at is null`
  const applied = new Map(rows.map((row) => [row.name, row.is_applied ? row.checksum : '']))
  return (
    rows.length === migrationDirectories.length &&
    migrationDirectories.every(
      ({ path, migrationFile }) =>
        applied.get(path) === createHash('sha256').update(migrationFile.content.value).digest('hex'),
    )
  )
}

/** SQL that leads from the migrations to the schema; null when they agree. On an embedded database only. */
export async function missingMigration(database: Database, folder: string = prismaFolder()): Promise<string | null> {
  const content = readFileSync(join(folder, 'schema.prisma'), 'utf8')
  const migrations = readMigrations(folder)
  return withEngine(database, content, async (engine) => {
    const result = await engine.diff({
      from: migrations.migrationDirectories.length === 0 ? { tag: 'empty' } : { tag: 'migrations', ...migrations },
      to: { tag: 'schemaDatamodel', files: [{ path: 'schema.prisma', content }] },
      script: true,
      exitCode: true,
      filters,
    })
    return result.exitCode === 0 ? null : (result.stdout ?? '')
  })
}
