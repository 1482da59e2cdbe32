import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { HintLadder, ProblemDetails, Submission } from '../../../server/contract/index.ts'
import { openHouse, poolOf, reportOf, type House } from '../harness.ts'
import { openClass, wrongProgram, type Class } from '../sample.ts'

let house: House
let group: Class
let path: string
beforeAll(async () => {
  house = await openHouse({ pool: poolOf(async () => reportOf(40)) })
  group = await openClass(house)
  path = `/api/exercises/${group.exercise.id}/hints`
})
afterAll(() => house.close())

const answer = 'The second run comes out wrong.'

describe('the ladder of hints', () => {
  test('asks, and tells nothing before it was answered', async () => {
    const { hints } = await group.student.take<HintLadder>('GET', path)
    expect(hints.map(({ number, rung, say, needs }) => [number, rung, say, needs])).toEqual([
      [1, 'point', null, null],
      [2, 'nearly', null, 1],
    ])
    const { document } = await group.student.take<{ document: object }>('GET', path.replace('/hints', ''))
    expect(JSON.stringify(document)).not.toContain('ADD adds')
  })

  test('keeps the order of its rungs', async () => {
    const response = await group.student.post(`${path}/2`, { answer })
    expect([response.statusCode, response.json<ProblemDetails>().code]).toEqual([409, 'hint-too-early'])
  })

  test.each([
    ['14 characters', 'fourteen chars', 400],
    ['fifteen with white space', ' fourteen chars ', 400],
    ['15 characters', 'fifteen letters', 200],
  ])('an answer of %s', async (_what, text, status) => {
    expect((await group.otherStudent.post(`${path}/1`, { answer: text })).statusCode).toBe(status)
  })

  test('tells a hint once it was answered, and keeps the first answer', async () => {
    const told = await group.student.take('POST', `${path}/1`, { answer })
    expect(told).toMatchObject({ number: 1, say: 'Look at what stands at 4600h.', answer })
    await group.student.take('POST', `${path}/1`, { answer: 'Something else altogether.' })
    expect(await group.student.take('POST', `${path}/2`, { answer })).toMatchObject({ number: 2, needs: null })
    const { hints } = await group.student.take<HintLadder>('GET', path)
    expect(hints.map((hint) => [hint.say !== null, hint.answer])).toEqual([
      [true, answer],
      [true, answer],
    ])
  })

  test('logs each rung, and staff see on a hand-in what had been taken before it', async () => {
    const log = await house.database.prisma.auditEvent.findMany({
      where: { action: 'hint-taken', actorId: group.student.id },
      orderBy: { id: 'asc' },
    })
    expect(log.map((event) => event.detail)).toEqual([
      { number: 1, answer },
      { number: 2, answer },
    ])
    const url = `/api/exercises/${group.exercise.id}/submissions`
    const { id } = await group.student.take<Submission>('POST', url, wrongProgram)
    const { hintsTaken } = await group.assistant.take<Submission>('GET', `/api/submissions/${id}`)
    expect(hintsTaken.map((hint) => hint.number)).toEqual([1, 2])
  })

  test('has no rung that is not there', async () => {
    expect((await group.student.post(`${path}/3`, { answer })).statusCode).toBe(404)
  })
})
