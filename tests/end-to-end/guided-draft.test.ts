import type { Browser, Page } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { expectAccessible, isWithoutBrowser, launch, lookAt, signIn, type Visitor } from './browser.ts'
import { startDemo, type DemoServer } from './demo-server.ts'

/** The points man's reaction: dark, a signal, hundredths of a second until key 0, the count on the digits. */
const pointsMan = `  LD HL,4700h
  LD B,8
CLEAR: LD (HL),0
  INC HL
  DJNZ CLEAR
  LD BC,1500
  CALL WAITMS
  LD HL,100
  LD DE,48
  CALL BUZZ
  XOR A
  LD (4600h),A
TICK: LD BC,10
  CALL WAITMS
  LD A,(4600h)
  ADD A,1
  DAA
  LD (4600h),A
  LD A,1
  OUT (21h),A
  IN A,(23h)
  AND 1
  JR Z,TICK
  LD A,(4600h)
  RRCA
  RRCA
  RRCA
  RRCA
  CALL GLYPH
  LD (4706h),A
  LD A,(4600h)
  CALL GLYPH
  LD (4707h),A
  LD D,125
SHOW: CALL PAINT
  DEC D
  JR NZ,SHOW
  HALT
`

/** Half seconds on the lamps, counted by the timer's interrupt. */
const gateLamps = `  LD HL,0
  LD (4600h),HL
  LD HL,TICK
  LD (4710h),HL
  EI
WAIT: HALT
  LD A,(4601h)
  OUT (24h),A
  CP 3
  JR NZ,WAIT
  DI
  HALT
TICK: PUSH AF
  LD A,(4600h)
  INC A
  CP 50
  JR C,KEEP
  LD A,(4601h)
  INC A
  LD (4601h),A
  XOR A
KEEP: LD (4600h),A
  POP AF
  EI
  RET
`

/** Counts how often the shed's door, switch 2, opens: twice, then it halts. */
const shedDoor = `  LD HL,4600h
  LD (HL),0
SHUT: IN A,(25h)
  BIT 2,A
  JR Z,SHUT
  INC (HL)
OPEN: IN A,(25h)
  BIT 2,A
  JR NZ,OPEN
  LD A,(HL)
  CP 2
  JR NZ,SHUT
  HALT
`

/** 440 Hz for 300 ms, 200 ms of silence, 880 Hz for half a second. */
const twoTones = `  LD HL,132
  LD DE,109
  CALL BUZZ
  LD BC,200
  CALL WAITMS
  LD HL,440
  LD DE,55
  CALL BUZZ
  HALT
`

describe.skipIf(isWithoutBrowser)('an exercise drafted from what a model answer does', () => {
  let demo: DemoServer
  let browser: Browser
  let instructor: Visitor

  beforeAll(async () => {
    demo = await startDemo()
    browser = await launch()
    instructor = await signIn(browser, demo, 'instructor')
  })
  afterAll(async () => {
    await browser?.close()
    await demo?.stop()
  })

  async function begin(page: Page, title: string, task: string, model: string): Promise<void> {
    await page.goto(demo.address)
    await page
      .getByRole('link', { name: /Quarry Street/ })
      .first()
      .click()
    await page.getByRole('link', { name: 'Exercises', exact: true }).click()
    await page.getByRole('link', { name: 'New exercise' }).click()
    await page.getByRole('textbox', { name: 'Short name' }).fill(title.replace(/\W+/g, '-'))
    await page.getByRole('textbox', { name: 'Title', exact: true }).fill(title)
    await page.getByRole('textbox', { name: 'The task' }).fill(task)
    await page.getByRole('textbox', { name: 'Your model answer, assembly' }).fill(model)
    await page.getByRole('button', { name: 'Run it and draft the checks' }).click()
  }

  /** Percent of the spoiled answers that the drafted checks catch. */
  async function tried(page: Page): Promise<number> {
    await page.getByText('Reads well').first().waitFor()
    await page.getByRole('tab', { name: 'Try the checks' }).click()
    await page.getByRole('button', { name: 'Try the checks' }).click()
    await page.getByText('What each check caught').waitFor()
    const score = page.getByText(/^\d[\d.]* %/).first()
    return Number.parseFloat(await score.innerText())
  }

  async function save(page: Page, title: string): Promise<void> {
    await page.getByRole('button', { name: 'Create as a draft' }).click()
    await page.waitForURL(/\/exercises\/.*\/edit/)
    await page.getByText('Students do not see it yet').waitFor()
    expect(await page.getByRole('heading', { level: 1 }).innerText()).toContain(title)
  }

  test('a reaction timer: the page says that it waits for a key, and takes down the key pressed on the board', async () => {
    const { page } = instructor
    const task =
      'After 1.5 s of darkness a signal of 1000 Hz sounds for 100 ms. Then count hundredths of a second, decimally, at ' +
      '4600h, until key 0 is down; show the count on the last two digits for 1 s, and halt. You may use the firmware.'
    await begin(page, 'Points man', task, pointsMan)
    await page
      .getByText(/waiting for a key at 40\w\wh|waits for a key at 40\w\wh/)
      .first()
      .waitFor()
    await lookAt(page, 'draft-waits-for-key')
    await expectAccessible(page)
    await page.getByRole('button', { name: 'Press the keys on the board' }).click()
    await page.getByRole('button', { name: 'Start your answer' }).click()
    await page.getByText(/^It runs: (1\.[789]\d*|[2-9](\.\d+)?) s/).waitFor()
    const key = page.getByRole('group', { name: 'Keypad' }).getByRole('button', { name: '0', exact: true })
    await key.hover()
    await page.mouse.down()
    await page.waitForTimeout(300)
    await page.mouse.up()
    await page.getByText(/^It has halted/).waitFor()
    await lookAt(page, 'draft-board')
    await expectAccessible(page)
    await page.getByRole('button', { name: 'Take this and draft' }).click()
    expect(await tried(page)).toBeGreaterThanOrEqual(95)
    expect(await page.getByRole('rowheader', { name: /is not called/ }).count()).toBe(0)
    await lookAt(page, 'draft-tried')
    await expectAccessible(page)
    await save(page, 'Points man')
  })

  test('a counter by interrupt: the page says that the timer is off, and switches it on', async () => {
    const { page } = instructor
    const task =
      'Count half seconds with the timer’s interrupt, 100 times a second, and show the count on the lamps: 1, 2, 3. Then ' +
      'halt with interrupts off. For variables take 4600h to 4601h.'
    await begin(page, 'Gate lamps', task, gateLamps)
    await page
      .getByText(/with interrupts on, but the timer is off/)
      .first()
      .waitFor()
    await expectAccessible(page)
    await page.getByRole('button', { name: 'Switch the timer on' }).click()
    expect(await tried(page)).toBeGreaterThanOrEqual(95)
    await save(page, 'Gate lamps')
  })

  test('a counter of a switch: the page says that it waits for one, and takes down the moves made on the board', async () => {
    const { page } = instructor
    const task = 'Count at 4600h how often switch 2 is turned on, until it has been turned on and off twice. Then halt.'
    await begin(page, 'Shed door', task, shedDoor)
    await page
      .getByText(/waits for a switch at 40\w\wh/)
      .first()
      .waitFor()
    await page.getByRole('button', { name: 'Move the switches on the board' }).click()
    await page.getByRole('button', { name: 'Start your answer' }).click()
    const door = page.getByRole('switch', { name: 'Switch 2' })
    for (let turn = 0; turn < 4; turn++) {
      await page.waitForTimeout(300)
      await door.click()
    }
    await page.getByText(/^It has halted/).waitFor()
    await lookAt(page, 'draft-switches')
    await expectAccessible(page)
    await page.getByRole('button', { name: 'Take this and draft' }).click()
    await page.getByText('Reads well').first().waitFor()
    expect(await page.getByText('switches moved 4 times').count()).toBeGreaterThan(0)
    await lookAt(page, 'draft-moves')
    await expectAccessible(page)
    await save(page, 'Shed door')
  })

  test('two tones of given lengths with a pause: all three lengths are checked', async () => {
    const { page } = instructor
    const task =
      'The tram gives two tones: 440 Hz for 300 ms, then 200 ms of silence, then 880 Hz for 500 ms. Then halt.'
    await begin(page, 'Two tones', task, twoTones)
    expect(await tried(page)).toBeGreaterThanOrEqual(95)
    const checks = page.getByRole('table', { name: 'What each check caught' })
    for (const name of [/Each tone has its length/, /200 ms of silence/])
      expect(await checks.getByRole('rowheader', { name }).count()).toBe(1)
    await save(page, 'Two tones')
  })

  test('an answer that never ends is told where it goes round, and no document is made', async () => {
    const { page } = instructor
    await begin(page, 'Round and round', 'Put 37h at 4600h.', '  LD A,37h\n  LD (4600h),A\nHERE: JR HERE\n')
    await page.getByText('Your answer never ends: it goes round the instruction at 4005h for ever.').waitFor()
    expect(await page.getByText('Reads well').count()).toBe(0)
  })

  test('no page complained on the browser’s console', () => {
    expect(instructor.complaints).toEqual([])
  })
})
