import { AxeBuilder } from '@axe-core/playwright'
import { mkdirSync } from 'node:fs'
import { join } from 'node:path'
import { chromium, type Browser, type BrowserContext, type Page } from 'playwright-core'
import { expect } from 'vitest'
import type { DemoServer } from './demo-server.ts'

/** `npm test` says so when no Chromium could be found; with CI=true that is a failure there. */
export const isWithoutBrowser = process.env['TESTS_WITHOUT_BROWSER'] === '1'

const pictures = join(import.meta.dirname, 'screenshots')

export function launch(): Promise<Browser> {
  return chromium.launch({
    executablePath: process.env['CHROMIUM_PATH'] ?? '/usr/bin/chromium',
    args: [
      ...['--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking'],
      ...['--disable-component-update', '--disable-sync'],
    ],
  })
}

export interface Visitor {
  readonly page: Page
  readonly context: BrowserContext
  /** What the browser complained of: errors on the console and errors nobody caught. */
  readonly complaints: readonly string[]
}

/** A browser of one's own (its own cookies), signed in by the form. */
export async function signIn(
  browser: Browser,
  demo: Pick<DemoServer, 'address' | 'signIns'>,
  role: keyof DemoServer['signIns'],
): Promise<Visitor> {
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 } })
  const page = await context.newPage()
  const complaints: string[] = []
  page.on('console', (message) => {
    // The first question whether anybody is signed in is answered with 401, which a browser writes down as an error.
    if (message.type() === 'error' && !message.location().url.endsWith('/api/session'))
      complaints.push(`${message.text()} ${message.location().url}`)
  })
  page.on('pageerror', (error) => complaints.push(String(error)))
  const { userName, password } = demo.signIns[role]
  await page.goto(demo.address)
  await page.getByLabel('User name').fill(userName)
  await page.getByLabel('Password').fill(password)
  await page.getByRole('button', { name: 'Sign in' }).click()
  await page.getByRole('heading', { level: 1, name: 'Courses' }).waitFor()
  return { page, context, complaints }
}

/** WCAG 2.2 A and AA as far as a program can tell, on the page as it stands. */
export async function expectAccessible(page: Page): Promise<void> {
  const tags = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa']
  const { violations } = await new AxeBuilder({ page }).withTags(tags).analyze()
  const told = violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ target }) => target.join(' ')).join(', ')}`)
  expect(told).toEqual([])
}

/** Pictures for people to look at: wide and as on a telephone, light and dark. Nothing is wider than the window. */
export async function lookAt(page: Page, name: string): Promise<void> {
  mkdirSync(pictures, { recursive: true })
  const before = page.viewportSize() ?? { width: 1280, height: 900 }
  for (const [size, width, height] of [
    ['wide', 1280, 900],
    ['narrow', 390, 844],
  ] as const)
    for (const colorScheme of ['light', 'dark'] as const) {
      await page.setViewportSize({ width, height })
      await page.emulateMedia({ colorScheme, reducedMotion: 'reduce' })
      await page.waitForTimeout(150)
      // An editor measures its lines when it comes into sight, which a picture of the whole page alone does not do.
      await page.evaluate('scrollTo(0, document.body.scrollHeight)')
      await page.waitForTimeout(50)
      await page.evaluate('scrollTo(0, 0)')
      await page.screenshot({ path: join(pictures, `${name}-${size}-${colorScheme}.png`), fullPage: true })
      const spills = await page.evaluate('document.documentElement.scrollWidth - document.documentElement.clientWidth')
      expect({ name, size, spills }).toEqual({ name, size, spills: 0 })
    }
  await page.setViewportSize(before)
  await page.emulateMedia({ colorScheme: 'light' })
}
