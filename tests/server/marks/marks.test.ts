import { parse } from 'csv-parse/sync'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { ClassProgress, Marks, ReviewQueue, Submission } from '../../../server/contract/index.ts'
import { marksCsv } from '../../../server/marks/csv.ts'
import { meanOf } from '../../../server/marks/marks.ts'
import { openHouse, poolOf, reportOf, type House } from '../harness.ts'
import { openClass, rightProgram, type Class } from '../sample.ts'

let house: House
let group: Class
const scores: number[] = []
beforeAll(async () => {
  house = await openHouse({ pool: poolOf(async () => reportOf(scores.shift() ?? 0)) })
  group = await openClass(house)
})
afterAll(() => house.close())

async function gradedWith(score: number, who: 'student' | 'otherStudent' | 'assistant'): Promise<Submission> {
  scores.push(score)
  return group[who].take('POST', `/api/exercises/${group.exercise.id}/submissions`, rightProgram, { prefer: 'wait=30' })
}

describe('marks', () => {
  test('are the best score of each student; staff who try an exercise have none', async () => {
    for (const score of [40, 90, 70]) await gradedWith(score, 'student')
    await gradedWith(100, 'assistant')
    const marks = await group.instructor.take<Marks>('GET', `/api/courses/${group.course.id}/marks`)
    expect(marks.rows.map((row) => [row.student.displayName, row.scores, row.total])).toEqual([
      ['Olu Mensah', [null], 0],
      ['Sam Tran', [90], 90],
    ])
  })

  test('of a student are one row', async () => {
    const marks = await group.student.take<Marks>('GET', `/api/courses/${group.course.id}/marks`)
    expect(marks.rows.map((row) => row.userName)).toEqual(['sam'])
  })

  test('that are missing count as nothing in the mean', () => {
    expect([meanOf([]), meanOf([100, null, 50]), meanOf([33.333, 33.333, 33.334])]).toEqual([0, 50, 33.33])
  })

  test('as CSV: header, CRLF, one line a student', async () => {
    const response = await group.assistant.get(`/api/courses/${group.course.id}/marks.csv`)
    expect(response.headers['content-type']).toBe('text/csv; charset=utf-8; header=present')
    expect(response.headers['content-disposition']).toBe('attachment; filename="marks.csv"')
    expect(response.body).toBe('Student,User name,sum,Mean\r\nOlu Mensah,olu,,0\r\nSam Tran,sam,90,90\r\n')
  })
})

describe('a CSV of marks', () => {
  const marksOf = (displayName: string): Marks => ({
    courseId: 'c',
    exercises: [{ id: 'e', code: 'A,1', title: 't', outOf: 100 }],
    rows: [{ student: { id: 's', displayName }, userName: 'u', scores: [50.5], late: [false], total: 50.5 }],
  })

  // OWASP, "CSV Injection": a cell that begins so is taken for a formula by spreadsheets.
  test.each(['=1+1', '+1', '-1', '@SUM(A1)', '\t=1', '\r=1'])('disarms %j', (name) => {
    const [, row] = parse(marksCsv(marksOf(name))) as string[][]
    expect(row?.[0]).toBe(`'${name}`)
  })

  // RFC 4180 §2, rules 5 to 7.
  test.each(['Tran, Sam', 'Sam "Hex" Tran', 'Sam\r\nTran', 'Sam\nTran', 'Sam\rTran', 'Thuý Phạm'])(
    'gives %j back as it was',
    (name) => {
      const [header, row] = parse(marksCsv(marksOf(name))) as string[][]
      expect([header?.[2], row?.[0]]).toEqual(['A,1', name])
    },
  )
})

describe('the class view', () => {
  test('has a cell for every student and exercise', async () => {
    const view = await group.assistant.take<ClassProgress>('GET', `/api/courses/${group.course.id}/progress`)
    expect(view.exercises[0]?.counts).toEqual({ handedIn: 1, fullMarks: 0, waiting: 0 })
    const cells = Object.fromEntries(view.students.map((row) => [row.student.displayName, row.cells[0]]))
    expect(cells['Sam Tran']).toMatchObject({ attempts: 3, state: 'graded', bestScore: 90 })
    expect(cells['Olu Mensah']).toMatchObject({ attempts: 0, state: null, bestScore: null })
    expect(view.totals).toMatchObject({ students: 2, submissions: 4, waiting: 0, faults: 0, toReview: 1 })
  })
})

describe('the review queue', () => {
  const path = (): string => `/api/courses/${group.course.id}/review`

  test('holds the newest submission of each student that is short of full marks, oldest first, in pages', async () => {
    const other = await gradedWith(10, 'otherStudent')
    const first = await group.assistant.take<ReviewQueue>('GET', `${path()}?limit=1`)
    expect([first.total, first.items.map((item) => item.submission.receipt.number)]).toEqual([2, [3]])
    const second = await group.assistant.take<ReviewQueue>('GET', `${path()}?limit=1&after=${first.next}`)
    expect(second).toMatchObject({ next: null, items: [{ reason: 'failing', submission: { id: other.id } }] })
  })

  test('loses what was settled, and what was replaced by full marks', async () => {
    const queue = await group.assistant.take<ReviewQueue>('GET', path())
    const [item] = queue.items
    const review = await group.assistant.take('PUT', `/api/submissions/${item?.submission.id}/review`, {
      state: 'settled',
      note: 'Talked it over.',
    })
    expect(review).toMatchObject({ state: 'settled', note: 'Talked it over.', by: { displayName: 'Asha Verma' } })
    await gradedWith(100, 'otherStudent')
    expect((await group.assistant.take<ReviewQueue>('GET', path())).items).toEqual([])
  })

  test('keeps what is held, full marks or not', async () => {
    const full = await gradedWith(100, 'student')
    await group.assistant.take('PUT', `/api/submissions/${full.id}/review`, { state: 'held' })
    const queue = await group.assistant.take<ReviewQueue>('GET', path())
    expect(queue.items.map((item) => [item.submission.id, item.reason])).toEqual([[full.id, 'held']])
  })

  test('what staff write for each other is not shown to students', async () => {
    const full = await gradedWith(50, 'student')
    await group.assistant.take('PUT', `/api/submissions/${full.id}/review`, {
      state: 'held',
      note: 'Ask the instructor.',
    })
    expect((await group.student.take<Submission>('GET', `/api/submissions/${full.id}`)).reviewNote).toBeNull()
    expect((await group.instructor.take<Submission>('GET', `/api/submissions/${full.id}`)).reviewNote).toBe(
      'Ask the instructor.',
    )
  })

  test.each([
    [{ text: '' }],
    [{ text: 'x', step: 3 }],
    [{ text: 'x', caseId: 'plain' }],
    [{ text: 'x', caseId: 'no-such-case', step: 3 }],
    [{ text: 'x', caseId: 'plain', step: -1 }],
  ])('a note %j is refused', async (note) => {
    const { id } = await gradedWith(20, 'student')
    expect((await group.assistant.post(`/api/submissions/${id}/notes`, note)).statusCode).toBe(400)
  })
})
