import { afterAll, beforeAll, expect, test } from 'vitest'
import type { ExerciseFeedback, FeedbackSettings } from '../../../server/contract/index.ts'
import { openHouse, type House } from '../harness.ts'
import { openClass, sumYaml, type Class } from '../sample.ts'

let house: House
let group: Class
beforeAll(async () => {
  house = await openHouse()
  group = await openClass(
    house,
    `${sumYaml}feedback: { off: [reflect], texts: { gap.total: The sum is not right. } }\n`,
  )
})
afterAll(() => house.close())

const nothing: FeedbackSettings = { order: null, off: [], texts: {} }

test('settings of course, document and exercise come together, the narrower winning', async () => {
  const course: FeedbackSettings = {
    order: ['mistake', 'gap'],
    off: ['concept'],
    texts: { 'gap.total': 'Count again.' },
  }
  await group.instructor.take('PUT', `/api/courses/${group.course.id}/feedback`, { settings: course })
  const settings: FeedbackSettings = { order: ['gap'], off: [], texts: {} }
  const path = `/api/exercises/${group.exercise.id}/feedback`
  const put = await group.instructor.take<ExerciseFeedback>('PUT', path, { settings })
  expect(put).toEqual({
    course,
    document: { order: null, off: ['reflect'], texts: { 'gap.total': 'The sum is not right.' } },
    settings,
    inForce: { order: ['gap'], off: ['concept', 'reflect'], texts: { 'gap.total': 'The sum is not right.' } },
  })
  expect(await group.assistant.take('GET', path)).toEqual(put)
})

test.each([
  [{ ...nothing, order: ['loud'] }],
  [{ ...nothing, order: [] }],
  [{ ...nothing, off: ['No such form!'] }],
  [{ ...nothing, texts: { total: '' } }],
  [{ ...nothing, off: ['mistake.no-such-cause'] }],
  [{ ...nothing, texts: { 'reflect.nothing': 'Think.' } }],
  [{ off: [] }],
])('settings %j are refused', async (settings) => {
  const response = await group.instructor.request('PUT', `/api/courses/${group.course.id}/feedback`, { settings })
  expect(response.statusCode).toBe(400)
})
