import type { AddressInfo } from 'node:net'
import type { Browser } from 'playwright-core'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { readyPages } from '../../server/pages-build.ts'
import { openHouse, password, type House } from '../server/harness.ts'
import { openClass, type Class } from '../server/sample.ts'
import { expectAccessible, isWithoutBrowser, launch, lookAt, signIn, type Visitor } from './browser.ts'

const signIns = {
  instructor: { userName: 'ines', password },
  assistant: { userName: 'asha', password },
  student: { userName: 'sam', password },
}

describe.skipIf(isWithoutBrowser)('the people of a course in a real browser', () => {
  let house: House
  let group: Class
  let browser: Browser
  let instructor: Visitor
  let address: string

  beforeAll(async () => {
    house = await openHouse({ config: { webFolder: await readyPages(() => {}) } })
    group = await openClass(house)
    await house.app.listen({ port: 0, host: '127.0.0.1' })
    address = `http://127.0.0.1:${(house.app.server.address() as AddressInfo).port}`
    browser = await launch()
    instructor = await signIn(browser, { address, signIns }, 'instructor')
    await instructor.page.goto(`${address}/courses/${group.course.id}/members`)
  })
  afterAll(async () => {
    await browser?.close()
    await house?.close()
  })

  test('a role changes after it was asked about, and not before', async () => {
    const { page } = instructor
    const role = page.getByLabel('Role of Olu Mensah')
    await role.selectOption('assistant')
    await page.getByRole('dialog').getByRole('button', { name: 'Leave it' }).click()
    expect(await role.inputValue()).toBe('student')
    await role.selectOption('assistant')
    await page.getByRole('dialog').getByRole('button', { name: 'Change the role' }).click()
    await expect.poll(() => role.inputValue()).toBe('assistant')
  })

  test('somebody is taken out and brought back', async () => {
    const { page } = instructor
    await page.getByRole('button', { name: 'Take Olu Mensah out of the course' }).click()
    await expectAccessible(page)
    await page.getByRole('dialog').getByRole('button', { name: 'Take out' }).click()
    await page.getByRole('heading', { name: 'No longer in the course' }).waitFor()
    await expectAccessible(page)
    await lookAt(page, 'members-former')
    await page.getByRole('button', { name: 'Bring Olu Mensah back' }).click()
    await expect.poll(() => page.getByLabel('Role of Olu Mensah').count()).toBe(1)
  })

  test('a forgotten password is set by a link, and changed again', async () => {
    const { page } = instructor
    await page.getByRole('button', { name: 'Make a link by which Sam Tran sets a new password' }).click()
    await page.getByRole('button', { name: 'Make the link' }).click()
    const link = await page.getByText(/\/new-password#/).textContent()
    await page.keyboard.press('Escape')

    const context = await browser.newContext()
    const sam = await context.newPage()
    await sam.goto(link ?? '')
    await sam.getByLabel('New password').fill('three words anew')
    await expectAccessible(sam)
    await lookAt(sam, 'new-password')
    await sam.getByRole('button', { name: 'Set it and sign in' }).click()
    await sam.getByRole('heading', { level: 1, name: 'Courses' }).waitFor()

    await sam.goto(`${address}/account`)
    await sam.getByLabel('Present password').fill(password)
    await sam.getByLabel('New password').fill('four more words anew')
    await sam.getByRole('button', { name: 'Change the password' }).click()
    await sam.getByText('This is not your present password.').waitFor()
    await sam.getByLabel('Present password').fill('three words anew')
    await sam.getByRole('button', { name: 'Change the password' }).click()
    await sam.getByText('The password is changed').waitFor()
    await expectAccessible(sam)
    await lookAt(sam, 'account')
    expect((await house.visitor().post('/api/session', { userName: 'sam', password })).statusCode).toBe(401)

    await sam.getByRole('button', { name: 'Leave Depot' }).click()
    await sam.getByRole('dialog').getByRole('button', { name: 'Leave' }).click()
    await sam.getByText('None yet.').waitFor()
    await context.close()
  })

  test('an exercise is given a bound of tries, and one student more time', async () => {
    await house.enrol(group.otherStudent, group.course.id, 'student')
    const { page } = instructor
    await page.goto(`${address}/exercises/${group.exercise.id}/edit`)
    await page.getByLabel('Due', { exact: true }).fill('2030-05-06T12:00')
    await page.getByLabel('Tries', { exact: true }).fill('3')
    await page.getByRole('button', { name: 'Save these' }).click()
    await page.getByText('At most 3 tries').waitFor()
    await page.getByLabel('Student', { exact: true }).selectOption({ label: 'Olu Mensah' })
    await page.getByLabel('Due for them').fill('2030-05-08T12:00')
    await page.getByRole('button', { name: 'Give more time' }).click()
    await page.getByRole('row', { name: /Olu Mensah.*8 May 2030, 12:00/ }).waitFor()
    await expectAccessible(page)
    await lookAt(page, 'more-time')

    const olu = await browser.newContext()
    const theirs = await olu.newPage()
    await theirs.goto(address)
    await theirs.getByLabel('User name').fill('olu')
    await theirs.getByLabel('Password').fill(password)
    await theirs.getByRole('button', { name: 'Sign in' }).click()
    await theirs.getByRole('heading', { level: 1, name: 'Courses' }).waitFor()
    await theirs.goto(`${address}/exercises/${group.exercise.id}`)
    await theirs.getByText('Extended for you').waitFor()
    await theirs
      .getByText(/8 May 2030, 12:00/)
      .first()
      .waitFor()
    await olu.close()
  })

  test('no page complained on the browser’s console', () => {
    expect(instructor.complaints).toEqual([])
  })
})
