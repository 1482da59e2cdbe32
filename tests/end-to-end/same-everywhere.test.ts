import { readdirSync, readFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { build, type Rolldown } from 'vite'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { formatOfFile } from '../../core/exercise/index.ts'
import { readExercise } from '../../server/commands/exercise-file.ts'
import { isWithoutBrowser, launch } from './browser.ts'
import { account, digest, explanation } from './same-everywhere-entry.ts'

const depot = resolve(import.meta.dirname, '../../prisma/seed/tram-depot')
/** One keyed as bytes, one with hidden drawn cases, one of flags, one whose cause is an edit, one with a long search. */
const failing = [
  'A1/wrong-6-read-as-b.hex',
  'A4/wrong-sign-for-carry.asm',
  'A6/wrong-carry-lost.asm',
  'B5/wrong-ties.asm',
  'C3/wrong-add-twice.asm',
  'B3/wrong-push-without-pop.asm',
]
const exercises = ['A2', 'A3', 'B3', 'B4', 'C1']

describe('one program, one exercise, one seed', () => {
  test('give the same events and the same report twice', () => {
    const { exercise } = readExercise('B3')
    const source = { format: 'assembly', text: readFileSync(join(depot, 'B3/wrong-reload.asm'), 'utf8') } as const
    expect(account(exercise, source, 7)).toBe(account(exercise, source, 7))
    expect(account(exercise, source, 7)).not.toBe(account(exercise, source, 8))
  })
})

describe.skipIf(isWithoutBrowser)('Node and Chromium', () => {
  let browser: Browser
  let page: Page

  beforeAll(async () => {
    const built = (await build({
      configFile: false,
      logLevel: 'error',
      build: {
        write: false,
        minify: false,
        lib: { entry: join(import.meta.dirname, 'same-everywhere-entry.ts'), formats: ['iife'], name: 'core' },
      },
    })) as Rolldown.RolldownOutput[]
    browser = await launch()
    page = await browser.newPage()
    await page.addScriptTag({ content: built[0]?.output[0].code ?? '' })
  })
  afterAll(async () => {
    await browser?.close()
  })

  test.each(exercises)('%s: every hand-in of the demo runs and is marked alike, byte for byte', async (id) => {
    const { exercise } = readExercise(id)
    const names = readdirSync(join(depot, id)).filter((name) => /\.(asm|hex)$/.test(name))
    expect(names.length).toBeGreaterThan(4)
    for (const name of names) {
      const source = { format: formatOfFile(name), text: readFileSync(join(depot, id, name), 'utf8') }
      const here = digest(account(exercise, source, 3))
      const there = await page.evaluate(`accountDigest(${JSON.stringify(exercise)}, ${JSON.stringify(source)}, 3)`)
      expect({ name, account: there }).toEqual({ name, account: here })
    }
  })

  test.each(failing)('%s: why it fails is found and told alike, byte for byte', async (path) => {
    const [id = '', name = ''] = path.split('/')
    const { exercise } = readExercise(id)
    const source = { format: formatOfFile(name), text: readFileSync(join(depot, id, name), 'utf8') }
    const here = explanation(exercise, source, 3)
    expect(here).toContain('"certainty"')
    expect(await page.evaluate(`explanation(${JSON.stringify(exercise)}, ${JSON.stringify(source)}, 3)`)).toBe(here)
  })
})
