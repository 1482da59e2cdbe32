import { readFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { expectAccessible, isWithoutBrowser, launch, lookAt, signIn, type Visitor } from './browser.ts'
import { deskSizes, Effort, expectInsideWindow, partsOfTrace } from './workbench.ts'
import { startDemo, type DemoServer } from './demo-server.ts'

const depot = resolve(import.meta.dirname, '../../prisma/seed/tram-depot')
const program = (name: string): string => readFileSync(join(depot, name), 'utf8')

/** A model answer of a new exercise. */
const dearRides = `  LD HL,4600h
  LD BC,0800h
AGAIN: LD A,(HL)
  CP 33h
  JR C,NEXT
  INC C
NEXT: INC HL
  DJNZ AGAIN
  LD A,C
  LD (4610h),A
  HALT
`

describe.skipIf(isWithoutBrowser)('a course in a real browser', () => {
  let demo: DemoServer
  let browser: Browser
  let student: Visitor
  let assistant: Visitor
  let instructor: Visitor
  /** Address of the trace at the step where the student's hand-in went wrong. */
  let wrongStep = ''
  /** Address of the report on it. */
  let wrongReport = ''

  beforeAll(async () => {
    demo = await startDemo()
    browser = await launch()
    student = await signIn(browser, demo, 'student')
    assistant = await signIn(browser, demo, 'assistant')
    instructor = await signIn(browser, demo, 'instructor')
  })
  afterAll(async () => {
    await browser?.close()
    await demo?.stop()
  })

  async function openCourse(page: Page): Promise<void> {
    await page.goto(demo.address)
    await page
      .getByRole('link', { name: /Quarry Street/ })
      .first()
      .click()
  }

  async function openExercise({ page }: Visitor, code: string): Promise<void> {
    await openCourse(page)
    await page
      .getByRole('link', { name: new RegExp(`\\b${code}\\b`) })
      .first()
      .click()
    await page.getByRole('heading', { name: 'The task' }).waitFor()
  }

  async function handIn(visitor: Visitor, code: string, text: string): Promise<void> {
    await openExercise(visitor, code)
    const { page } = visitor
    await page.getByRole('textbox', { name: 'Your program' }).click()
    await page.keyboard.press('ControlOrMeta+a')
    await page.keyboard.press('Delete')
    await page.keyboard.insertText(text)
    await page.getByRole('button', { name: 'Hand in', exact: true }).click()
    await page.waitForURL(/\/submissions\//)
    await page
      .getByText(/of 100/)
      .first()
      .waitFor()
  }

  test('a student hands in a wrong tone and reads what was measured and what was wanted', async () => {
    const { page } = student
    await handIn(student, 'C1', program('C1/wrong-a-spoiled.asm'))
    await page.getByText('Out of tolerance').or(page.getByText('Failed')).first().waitFor()
    expect(await page.getByText(/1000 Hz/).count()).toBeGreaterThan(0)
    wrongReport = page.url()
    // The search for the cause comes after the grade, and its end by itself.
    await page.getByText('likeliest').waitFor()
    expect(await page.getByText('What to know:').count()).toBeGreaterThan(0)
    // Where the value that was measured comes from: the run is done again here, in a worker.
    await page
      .getByRole('button', { name: /^(Why|Where) / })
      .first()
      .click()
    await page
      .getByRole('link', { name: /^Go there/ })
      .first()
      .waitFor()
    await lookAt(page, 'report')
    await expectAccessible(page)
  })

  test('a report on a failing hand-in takes a screen and a half: mark, cause, check and program first', async () => {
    const { page } = student
    await page.setViewportSize({ width: 1280, height: 800 })
    await page.goto(wrongReport)
    await page.getByText('likeliest').first().waitFor()
    await page.locator('tr.current').waitFor()
    const height = Number(await page.evaluate('document.documentElement.scrollHeight'))
    expect(height).toBeLessThanOrEqual(1.5 * 800)
    for (const part of [
      page.getByRole('region', { name: 'Score' }),
      page.getByText('likeliest').first(),
      page.getByText('Measured', { exact: true }).first(),
      page.getByRole('table', { name: 'The program as handed in' }).locator('tr.current'),
    ]) {
      const box = await part.boundingBox()
      expect(box !== null && box.y + box.height <= 800).toBe(true)
    }
    expect(await page.getByRole('table', { name: 'The program as handed in' }).count()).toBe(1)
  })

  test('the trace opens at the first wrong step, walks both ways, and its address is the step', async () => {
    const { page } = student
    await page.getByRole('link', { name: /trace/i }).first().click()
    await page.waitForURL(/\/trace\?.*step=\d+/)
    await page.getByRole('button', { name: 'Back', exact: true }).waitFor()
    const stepOf = (): number => Number(new URL(page.url()).searchParams.get('step'))
    const first = stepOf()
    expect(first).toBeGreaterThan(0)
    wrongStep = page.url()
    await page.getByRole('button', { name: 'Back', exact: true }).click()
    await expect.poll(stepOf).toBe(first - 1)
    await page.getByRole('button', { name: 'On', exact: true }).click()
    await expect.poll(stepOf).toBe(first)
    await lookAt(page, 'trace')
    await expectAccessible(page)
  })

  test('an assistant opens the forwarded address at the same step, and finds the hand-in in the review queue', async () => {
    const { page } = assistant
    await page.goto(wrongStep)
    await page.getByRole('button', { name: 'Back', exact: true }).waitFor()
    expect(new URL(page.url()).search).toBe(new URL(wrongStep).search)

    await openCourse(page)
    await page
      .getByRole('link', { name: /Review/ })
      .first()
      .click()
    await page.getByRole('heading', { level: 1, name: /Review/ }).waitFor()
    await page
      .getByRole('link', { name: /Open the trace/ })
      .first()
      .waitFor()
    await lookAt(page, 'review')
    await expectAccessible(page)
    await page
      .getByRole('link', { name: /Open the trace/ })
      .first()
      .click()
    await page.waitForURL(/\/trace\?.*step=\d+/)
    await page.getByRole('button', { name: 'Back', exact: true }).waitFor()
  })

  test('what a trace shows together stands inside the window, on a laptop and on a large screen', async () => {
    const { page } = assistant
    for (const size of deskSizes) {
      await page.setViewportSize(size)
      await page.goto(wrongStep)
      await page.getByRole('button', { name: 'Back', exact: true }).waitFor()
      await page.getByRole('table', { name: 'Byte registers' }).waitFor()
      await expectInsideWindow(page, partsOfTrace(page))
    }
    await page.setViewportSize({ width: 1280, height: 800 })
  })

  test('Go there moves the step, and marks the line it leads to', async () => {
    const { page } = assistant
    await page.goto(wrongStep)
    await page.getByRole('button', { name: 'First', exact: true }).click()
    await page
      .getByRole('button', { name: /^Go there/ })
      .first()
      .click()
    const line = page.locator('tr.pointed')
    await line.first().waitFor()
    const box = await line.first().boundingBox()
    expect(box !== null && box.y > 0 && box.y + box.height < 800).toBe(true)
    // Marked as long as one stands there.
    await page.keyboard.press('ArrowLeft')
    await expect.poll(() => line.count()).toBe(0)
  })

  test('a panel keeps the size that the keyboard gave it, and its place takes the keyboard', async () => {
    const { page } = assistant
    const bar = page.getByRole('separator', { name: 'Width of the side panels' })
    const widthOf = async (): Promise<number> => Number(await bar.getAttribute('aria-valuenow'))
    await bar.focus()
    const before = await widthOf()
    await page.keyboard.press('ArrowLeft')
    expect(await widthOf()).toBe(before + 16)
    await page.reload()
    await bar.waitFor()
    await expect.poll(widthOf).toBe(before + 16)
    await bar.focus()
    await page.keyboard.press('Enter')
    expect(await widthOf()).toBe(before)
    await page.keyboard.press('Escape')
    await page.keyboard.press('3')
    await page.getByRole('tab', { name: 'Memory', selected: true }).waitFor()
    await page.keyboard.press('?')
    const keys = page.getByRole('dialog')
    await keys.waitFor()
    const { scrollHeight, clientHeight } = await keys.evaluate((it) => ({
      scrollHeight: it.scrollHeight,
      clientHeight: it.clientHeight,
    }))
    expect(scrollHeight).toBeLessThanOrEqual(clientHeight)
    await page.keyboard.press('Escape')
  })

  test('hand-in and model answer stand in two columns and are scrolled together', async () => {
    const { page } = assistant
    await page.goto(wrongStep)
    await page.getByRole('button', { name: 'Model answer beside it' }).click()
    const [own, model] = [
      page.getByRole('region', { name: 'Lines of the program' }),
      page.getByRole('region', { name: 'Listing of the model answer' }),
    ]
    await model.waitFor()
    const [left, right] = [await own.boundingBox(), await model.boundingBox()]
    expect(left?.y).toBe(right?.y)
    expect((left?.x ?? 0) + (left?.width ?? 0)).toBeLessThan(right?.x ?? 0)
    await own.evaluate((box) => (box.scrollTop = 0))
    await page.waitForTimeout(100)
    await own.evaluate((box) => (box.scrollTop = box.scrollHeight))
    await expect
      .poll(() => model.evaluate((box) => box.scrollHeight - box.clientHeight - box.scrollTop))
      .toBeLessThan(2)
  })

  test('on a telephone the steps stay at the foot and one panel is shown at a time', async () => {
    const { page } = assistant
    await page.setViewportSize({ width: 390, height: 844 })
    await page.goto(wrongStep)
    const steps = page.getByRole('group', { name: 'Steps', exact: true })
    await steps.waitFor()
    const foot = await steps.boundingBox()
    expect((foot?.y ?? 0) + (foot?.height ?? 0)).toBeGreaterThan(800)
    expect((foot?.y ?? 0) + (foot?.height ?? 0)).toBeLessThanOrEqual(844)
    for (const name of ['Listing', 'Registers', 'Axis', 'Notes']) {
      await page.getByRole('tab', { name }).click()
      expect(await page.getByRole('tabpanel').filter({ visible: true }).count()).toBe(1)
      expect(await steps.boundingBox()).toEqual(foot)
    }
    await page.setViewportSize({ width: 1280, height: 800 })
  })

  test('from the list of courses to a pinned note an assistant clicks five times and scrolls nowhere', async () => {
    const { page } = assistant
    await page.setViewportSize({ width: 1280, height: 800 })
    await page.goto(demo.address)
    const effort = new Effort(page)
    await effort.click(page.getByRole('link', { name: /Quarry Street/ }).first())
    await effort.click(page.getByRole('link', { name: /Review/ }).first())
    await effort.click(page.getByRole('link', { name: /Open the trace/ }).first())
    await page.waitForURL(/\/trace\?.*step=\d+/)
    await effort.click(page.getByRole('textbox', { name: /^A note for/ }))
    await page.keyboard.insertText('Look at the instruction before this one.')
    await effort.click(page.getByRole('button', { name: /^Pin it/ }))
    await page.getByText('Look at the instruction before this one.').waitFor()
    expect(effort.clicks).toBeLessThanOrEqual(5)
    expect(await page.evaluate('scrollY')).toBe(0)
  })

  test('a hint asks first, and tells once it was answered', async () => {
    const { page } = student
    await page.goto(wrongReport)
    const hints = page.getByRole('region', { name: 'Hints' })
    const answer = hints.getByRole('textbox').first()
    await answer.fill('Too short.')
    await hints.getByRole('button', { name: 'Answer, and show the hint' }).first().click()
    await hints.getByText('short of an answer').waitFor()
    await answer.fill('The tone has the wrong number of waves.')
    await hints.getByRole('button', { name: 'Answer, and show the hint' }).first().click()
    await hints.getByRole('status').first().waitFor()
    expect(await hints.getByText('The tone has the wrong number of waves.').count()).toBe(1)
  })

  test('a saved answer becomes a note with one click, is released, and answered by the student', async () => {
    const { page } = assistant
    await page.goto(wrongReport)
    await page.getByText('Nearest passing program').or(page.getByText('likeliest')).first().waitFor()
    const words = 'A is needed after the loop: what is in it then?'
    await page.getByText('Write a note on the whole hand-in').click()
    await page.getByRole('textbox', { name: 'A note on the whole hand-in' }).fill(words)
    await page.getByRole('button', { name: 'Keep as a saved answer' }).click()
    await page.getByText('Kept.').waitFor()
    await page.getByLabel('The student sees it at once').uncheck()
    await page.getByRole('button', { name: new RegExp(`^${words.slice(0, 20)}`) }).click()
    await page.getByText('not released').waitFor()
    await page.getByText('used 1 time').waitFor()
    await lookAt(page, 'report-staff')
    await expectAccessible(page)
    expect(await student.page.getByText(words).count()).toBe(0)
    await page.getByRole('button', { name: 'Release 1 note' }).click()
    const notes = student.page.getByRole('region', { name: 'Notes' })
    await notes.getByText(words).waitFor()
    await notes.getByRole('button', { name: 'Answer' }).click()
    await notes.getByRole('textbox', { name: 'Your answer' }).fill('The counter. I take another register.')
    await notes.getByRole('button', { name: 'Answer' }).click()
    await page.getByText('The counter. I take another register.').waitFor()
    await openCourse(page)
    await page.getByRole('link', { name: 'Saved answers' }).click()
    await page.getByRole('rowheader', { name: words }).waitFor()
    await lookAt(page, 'saved-answers')
    await expectAccessible(page)
  })

  test('what reports say is set for the course', async () => {
    const { page } = instructor
    await student.page.goto(wrongReport)
    await student.page.getByText(/^\d+ more remarks?$/).click()
    await student.page.getByText('Ask yourself').waitFor()
    await openCourse(page)
    await page.getByRole('link', { name: 'Feedback' }).click()
    await page.getByRole('checkbox', { name: /^Ask yourself/ }).uncheck()
    await page.getByRole('button', { name: 'Save' }).click()
    await page.getByText('Saved.').waitFor()
    await lookAt(page, 'feedback')
    await expectAccessible(page)
    await student.page.reload()
    await student.page.getByText('likeliest').waitFor()
    expect(await student.page.getByText('Ask yourself').count()).toBe(0)
  })

  test('an instructor sees the class view change while a student hands in the right answer', async () => {
    const { page } = instructor
    await openCourse(page)
    await lookAt(page, 'course-staff')
    await page
      .getByRole('link', { name: /Class view/ })
      .first()
      .click()
    await page.getByRole('table').first().waitFor()
    const mine = page.getByRole('row').filter({ hasText: await studentName() })
    const before = await mine.innerText()
    await handIn(student, 'C1', program('C1/model.asm'))
    expect(await student.page.getByText('100', { exact: true }).count()).toBeGreaterThan(0)
    await lookAt(student.page, 'report-full-marks')
    await expect.poll(() => mine.innerText(), { timeout: 20_000 }).not.toBe(before)
    expect(await mine.innerText()).toContain('100')
    await lookAt(page, 'class-view')
    await expectAccessible(page)
  })

  test('the marks are a table, and a CSV file with the same figures', async () => {
    const { page } = instructor
    await openCourse(page)
    await page.getByRole('link', { name: /Marks/ }).first().click()
    await page.getByRole('table').first().waitFor()
    await lookAt(page, 'marks')
    await expectAccessible(page)
    const [download] = await Promise.all([
      page.waitForEvent('download'),
      page.getByRole('link', { name: /CSV/ }).first().click(),
    ])
    const csv = readFileSync(await download.path(), 'utf8')
    expect(csv.split('\r\n').length).toBeGreaterThan(8)
    expect(csv).toContain('C1')
  })

  test('the remaining pages stand up to a look', async () => {
    const places: readonly (readonly [Visitor, string, string])[] = [
      [student, 'courses', demo.address],
      [student, 'bench', `${demo.address}/bench`],
      [instructor, 'new-course', `${demo.address}/courses/new`],
      [instructor, 'no-page', `${demo.address}/nowhere`],
    ]
    for (const [{ page }, name, address] of places) {
      await page.goto(address)
      await page.getByRole('heading', { level: 1 }).first().waitFor()
      await lookAt(page, name)
      await expectAccessible(page)
    }
    await openCourse(student.page)
    await student.page
      .getByRole('link', { name: /\bC1\b/ })
      .first()
      .waitFor()
    await lookAt(student.page, 'course')
    await expectAccessible(student.page)
    await openExercise(student, 'B3')
    await lookAt(student.page, 'exercise')
    await expectAccessible(student.page)
  })

  test('an instructor’s pages for people and documents stand up to a look too', async () => {
    const { page } = instructor
    await openExercise(instructor, 'C1')
    await lookAt(page, 'exercise-staff')
    await expectAccessible(page)
    await page.getByRole('link', { name: 'Edit', exact: true }).click()
    await page.getByText('Reads well').waitFor()
    await lookAt(page, 'exercise-document')
    await expectAccessible(page)
    await openCourse(page)
    await page.getByRole('link', { name: 'Members', exact: true }).first().click()
    await page
      .getByRole('cell', { name: await studentName() })
      .or(page.getByRole('rowheader'))
      .first()
      .waitFor()
    await lookAt(page, 'members')
    await expectAccessible(page)
  })

  test('an instructor drafts an exercise from a model answer, tries its checks, and reads a wrong answer’s report', async () => {
    const { page } = instructor
    await openCourse(page)
    await page.getByRole('link', { name: 'Exercises', exact: true }).click()
    await page.getByRole('link', { name: 'New exercise' }).click()
    await page.getByRole('textbox', { name: 'Title', exact: true }).fill('Dear rides')
    // Nothing can be created before there is a document.
    expect(await page.getByRole('button', { name: 'Create as a draft' }).count()).toBe(0)
    await lookAt(page, 'new-exercise')
    await expectAccessible(page)
    await page
      .getByRole('textbox', { name: 'The task' })
      .fill('Eight fares stand from 4600h on. Count those of 33h or more and put the count at 4610h. Then halt.')
    await page
      .getByRole('textbox', { name: 'Bytes in memory at the start, if any' })
      .fill('4600h: 32 33 34 FF 00 10 80 7F')
    const model = page.getByRole('textbox', { name: 'Your model answer, assembly' })
    await model.fill(dearRides.replace('LD A,C', 'LDA A,C'))
    await page.getByText('LDA is the 8080').first().waitFor()
    await model.fill(dearRides)
    await page.getByRole('button', { name: 'Run it and draft the checks' }).click()
    await page.getByText('Reads well').first().waitFor()
    await page.getByRole('tab', { name: 'Try the checks' }).click()
    await page.getByRole('button', { name: 'Try the checks' }).click()
    await page.getByText('What each check caught').waitFor()
    expect(
      Number.parseFloat(
        await page
          .getByText(/^\d[\d.]* %/)
          .first()
          .innerText(),
      ),
    ).toBeGreaterThan(98)
    await lookAt(page, 'new-exercise-tried')
    await expectAccessible(page)
    await page.getByRole('tab', { name: 'A wrong answer' }).click()
    await page.getByRole('textbox', { name: 'A wrong answer' }).fill(dearRides.replace('JR C', 'JR NC'))
    await page.getByRole('button', { name: 'Grade it here' }).click()
    await page.getByText('Hidden check of memory').waitFor()
    await page.getByText('told no cause').or(page.getByText('likeliest')).first().waitFor()
    await lookAt(page, 'new-exercise-wrong-answer')
    await expectAccessible(page)
    await page.getByRole('button', { name: 'Create as a draft' }).click()
    await page.waitForURL(/\/exercises\/.*\/edit/)
    await page.getByText('Students do not see it yet').waitFor()
    expect(await page.getByRole('heading', { level: 1 }).innerText()).toContain('Dear rides')
    expect(await page.getByRole('button', { name: 'Publish' }).count()).toBe(1)
  })

  test('the hand-ins of a student are stones to go through, and what changed between two is shown', async () => {
    const text = program('C1/wrong-a-spoiled.asm')
    await handIn(student, 'C1', text)
    await handIn(student, 'C1', `${text.trimEnd()}\n        NOP\n`)
    const { page } = student
    const stones = page.getByRole('navigation', { name: 'Your hand-ins' })
    await stones.waitFor()
    const count = await stones.getByRole('link').count()
    expect(count).toBeGreaterThan(2)
    await stones.getByRole('button', { name: `What changed since hand-in ${count - 1}` }).click()
    await page.getByText('1 line put in, 0 lines taken out').waitFor()
    await stones.getByRole('link', { name: /^Hand-in 1,/ }).click()
    await page.waitForURL(wrongReport)
    await stones
      .getByRole('link', { name: /^Hand-in 1,/ })
      .and(page.locator('[aria-current=page]'))
      .waitFor()
  })

  test('no page complained on the browser’s console', () => {
    expect([student, assistant, instructor].flatMap(({ complaints }) => complaints)).toEqual([])
  })

  async function studentName(): Promise<string> {
    const { page } = student
    const { userName } = demo.signIns.student
    const response = await page.request.get(`${demo.address}/api/session`)
    const session = (await response.json()) as { user: { displayName: string } }
    expect(session).toMatchObject({ user: { userName } })
    return session.user.displayName
  }
})
