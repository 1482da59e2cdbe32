import type { Locator, Page } from 'playwright-core'
import { expect } from 'vitest'

export const deskSizes = [
  { width: 1280, height: 800 },
  { width: 1920, height: 1080 },
] as const

/** The parts of a trace that are read together, as one who hears the page knows them. */
export function partsOfTrace(page: Page): readonly (readonly [name: string, part: Locator])[] {
  return [
    ['axis', page.getByRole('img', { name: /^Time axis from/ })],
    ['digits', page.getByRole('img', { name: /^digit 1:/ })],
    ['steps', page.getByRole('group', { name: 'Steps', exact: true })],
    ['listing', page.getByRole('region', { name: 'Lines of the program' })],
    ['registers', page.getByRole('table', { name: 'Byte registers' })],
    ['word registers', page.getByRole('table', { name: 'Word registers' })],
    ['note box', page.getByRole('textbox', { name: /^A note for/ })],
  ]
}

/** Every part lies inside the window with nothing of it cut off, and the page itself has nowhere to scroll to. */
export async function expectInsideWindow(page: Page, parts: ReturnType<typeof partsOfTrace>): Promise<void> {
  const window = page.viewportSize() ?? { width: 0, height: 0 }
  for (const [name, part] of parts) {
    const box = await part.boundingBox()
    expect(box, name).not.toBeNull()
    const { x, y, width, height } = box ?? { x: -1, y: -1, width: 0, height: 0 }
    expect({ name, isInside: x >= 0 && y >= 0 && x + width <= window.width && y + height <= window.height }).toEqual({
      name,
      isInside: true,
    })
    expect(height, name).toBeGreaterThan(20)
  }
  const overflow = await page.evaluate('document.documentElement.scrollHeight - innerHeight')
  expect(overflow).toBeLessThanOrEqual(0)
}

/** Counts what a person does: clicks, and how far the page was scrolled in all. */
export class Effort {
  clicks = 0
  readonly #page: Page

  constructor(page: Page) {
    this.#page = page
  }

  /** A click on what is in the window already: playwright would scroll to it, a person would have to. */
  async click(target: Locator): Promise<void> {
    await target.waitFor()
    const box = await target.boundingBox()
    const { height } = this.#page.viewportSize() ?? { height: 0 }
    expect(box !== null && box.y >= 0 && box.y + box.height <= height, `in sight: ${target.toString()}`).toBe(true)
    this.clicks += 1
    await target.click()
  }
}
