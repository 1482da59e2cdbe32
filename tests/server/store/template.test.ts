import { existsSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { expect, test } from 'vitest'
import { openEmbedded } from '../../../server/store/embedded.ts'
import { migrate } from '../../../server/store/migrations.ts'
import { emptyTemplate } from '../../../server/store/template.ts'

test('a database that begins from the template has all tables and no row', async () => {
  const database = await openEmbedded({ folder: null, template: emptyTemplate })
  expect(await migrate(database)).toEqual([])
  expect([await database.prisma.user.count(), await database.prisma.setting.count()]).toEqual([0, 0])
  await database.close()
})

test('a folder in which a template was unpacked only half is begun anew', async () => {
  const root = mkdtempSync(join(tmpdir(), 'hexcairn-template-'))
  const folder = join(root, 'data')
  const before = process.umask()
  try {
    const first = await openEmbedded({ folder, template: emptyTemplate })
    await first.close()
    // As by a kill after the version was written and before the tables were.
    rmSync(join(folder, 'base'), { recursive: true })
    writeFileSync(join(folder, 'hexcairn-unpacking'), '')
    const again = await openEmbedded({ folder, template: emptyTemplate })
    expect(await again.prisma.user.count()).toBe(0)
    await again.close()
    expect(existsSync(join(folder, 'hexcairn-unpacking'))).toBe(false)
    expect(readdirSync(folder)).toContain('base')
  } finally {
    process.umask(before)
    rmSync(root, { recursive: true, force: true })
  }
})
