import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { ProblemDetails } from '../../../server/contract/index.ts'
import { ApiError } from '../../../server/errors.ts'
import { openDocumentReader, type DocumentReader } from '../../../server/exercises/document-reader.ts'
import { readExerciseText } from '../../../server/exercises/document.ts'
import { openHouse, type House } from '../harness.ts'
import { openClass, sumYaml, type Class } from '../sample.ts'

/** As long as a document may be. */
const longest = 262_144
const unknownFields = (count: number): string =>
  `${sumYaml}${Array.from({ length: count }, (_, i) => `k${i}: 1\n`).join('')}`

const readers: DocumentReader[] = []
function open(options: { seconds?: number; megabytes?: number } = {}): DocumentReader {
  const reader = openDocumentReader({ onError: () => {}, ...options })
  readers.push(reader)
  return reader
}
afterAll(async () => {
  for (const reader of readers) await reader.close()
})

async function refusalOf(reading: Promise<unknown>): Promise<ApiError> {
  const error: unknown = await reading.then(
    () => null,
    (reason: unknown) => reason,
  )
  if (error instanceof ApiError) return error
  throw new Error('The document was not refused.', { cause: error })
}

describe('a text of an exercise that breaks a limit', () => {
  test('is given up after its time, and the next one is read', async () => {
    // The text takes three seconds of an idle core, a small one a fiftieth.
    const reader = open({ seconds: 1 })
    const refusal = await refusalOf(reader.read(': : :\n'.repeat(longest / 6)))
    expect([refusal.code, refusal.status]).toEqual(['exercise-document-too-much', 422])
    expect(await reader.read(sumYaml)).toMatchObject({ code: 'sum', title: 'A sum' })
  })

  test('is given up at its share of memory, and the next one is read', async () => {
    const reader = open({ seconds: 120, megabytes: 48 })
    const refusal = await refusalOf(reader.read('\ta: [\n'.repeat(longest / 6)))
    expect([refusal.code, refusal.message]).toEqual(['exercise-document-too-much', 'It took more than 48 MB.'])
    expect(await reader.read(sumYaml)).toMatchObject({ code: 'sum' })
  })

  test.each([
    ['lists in lists', 'a: ' + '['.repeat(60_000) + ']'.repeat(60_000), 'more than 64 deep'],
    ['lists that never end', '['.repeat(60_000), 'more than 64 deep'],
    ['list items in list items', '- '.repeat(60_000), 'more than 64 deep'],
    ['keys in keys', '? '.repeat(60_000), 'more than 64 deep'],
    ['a list 100 deep, which the YAML reader takes', `a: ${'['.repeat(100)}${']'.repeat(100)}`, 'more than 64 deep'],
    ['a list that holds itself', `a: &a [*a]\n${sumYaml}`, 'holds itself'],
    ['a given state that holds itself', sumYaml.replace('given: {', 'given: &g { x: *g,'), 'holds itself'],
    ['the same key again and again', 'a: 1\n'.repeat(10_000), "'a' stands here a second time."],
    ['one line of 256 KB', `brief: ${'x'.repeat(longest - 10)}`, 'allowed'],
    ['nothing but quotes', '"\n'.repeat(20_000), 'Unexpected'],
    ['prototypes', `__proto__: { format: x }\nconstructor: 1\n${sumYaml}`, "'__proto__'"],
  ])('%s is told in a few mistakes', (_what, source, sentence) => {
    const read = readExerciseText(source)
    if (read.isOk) throw new Error('taken')
    expect(read.faults.length).toBeLessThanOrEqual(50)
    expect(read.faults.map(({ message }) => message).join('\n')).toContain(sentence)
    for (const { line, column } of read.faults) expect([line, column].every((each) => (each ?? 0) >= 1)).toBe(true)
  })
})

describe('twenty thousand mistakes', () => {
  let house: House
  let group: Class
  beforeAll(async () => {
    house = await openHouse({ reader: open({ seconds: 60 }) })
    group = await openClass(house)
  })
  afterAll(() => house.close())

  test('are counted, the first fifty are told, and the server answers others meanwhile', async () => {
    const order: string[] = []
    const source = unknownFields(20_000)
    const wrong = group.instructor
      .post(`/api/courses/${group.course.id}/exercises`, { source })
      .then((response) => (order.push('document'), response))
    for (let i = 0; i < 5; i += 1)
      await group.student.get('/api/session').then(({ statusCode }) => order.push(`${statusCode}`))
    const response = await wrong
    const { code, detail, errors } = response.json<ProblemDetails>()
    expect([response.statusCode, code, errors?.length]).toEqual([422, 'exercise-document-wrong', 50])
    expect(detail).toContain('20000 mistakes, of which these are the first 50')
    expect(order).toEqual(['200', '200', '200', '200', '200', 'document'])
  })

  test('cost as many times more as there are more of them', () => {
    const cpuOf = (count: number): number => {
      const before = process.cpuUsage()
      readExerciseText(unknownFields(count))
      const { user, system } = process.cpuUsage(before)
      return user + system
    }
    cpuOf(2_000)
    // Eight times as many: 64 times the work where each is compared with each.
    expect(cpuOf(20_000) / cpuOf(2_500)).toBeLessThan(30)
  })
})
