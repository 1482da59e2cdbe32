import { chmodSync, mkdirSync, mkdtempSync, readdirSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { openEmbedded } from '../../../server/store/embedded.ts'

test.skipIf(process.platform === 'win32')(
  'the folder of the database is its owner’s alone, whatever it was before',
  async () => {
    const root = mkdtempSync(join(tmpdir(), 'hexcairn-folder-'))
    const folder = join(root, 'data')
    const before = process.umask(0o022)
    try {
      const first = await openEmbedded({ folder })
      await first.close()
      // As by a copy that was unpacked without care.
      mkdirSync(join(folder, 'open'), { recursive: true })
      chmodSync(join(folder, 'open'), 0o755)
      writeFileSync(join(folder, 'open', 'loose'), 'x')
      chmodSync(join(folder, 'open', 'loose'), 0o644)
      chmodSync(folder, 0o755)
      const database = await openEmbedded({ folder })
      await database.prisma.$executeRawUnsafe('create table probe as select generate_series(1, 5000) as n')
      const modes = readdirSync(folder, { recursive: true, withFileTypes: true })
        .filter((entry) => entry.isFile() || entry.isDirectory())
        .map((entry) => ({ at: join(entry.parentPath, entry.name), wanted: entry.isDirectory() ? 0o700 : 0o600 }))
      await database.close()
      expect(modes.length).toBeGreaterThan(100)
      expect(statSync(folder).mode & 0o777).toBe(0o700)
      const loose = modes.filter(
        ({ at, wanted }) => (statSync(at, { throwIfNoEntry: false })?.mode ?? wanted) % 0o1000 !== wanted,
      )
      expect(loose).toEqual([])
    } finally {
      process.umask(before)
      rmSync(root, { recursive: true, force: true })
    }
  },
)
