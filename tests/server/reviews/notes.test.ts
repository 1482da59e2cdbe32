import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import type { Note, NoteList, SavedAnswer, SavedAnswerList, Submission } from '../../../server/contract/index.ts'
import { openHouse, poolOf, reportOf, type House, type Visitor } from '../harness.ts'
import { openClass, wrongProgram, type Class } from '../sample.ts'

let house: House
let group: Class
let id: string
let notes: string
beforeAll(async () => {
  house = await openHouse({ pool: poolOf(async () => reportOf(40)) })
  group = await openClass(house)
})
afterAll(() => house.close())
beforeEach(async () => {
  const url = `/api/exercises/${group.exercise.id}/submissions`
  id = (await group.student.take<Submission>('POST', url, wrongProgram, { prefer: 'wait=20' })).id
  notes = `/api/submissions/${id}/notes`
})

async function textsFor(visitor: Visitor): Promise<string[]> {
  return (await visitor.take<NoteList>('GET', notes)).notes.map(({ text }) => text)
}

describe('a note', () => {
  test('is for staff until it is released, and its thread with it', async () => {
    const note = await group.assistant.take<Note>('POST', notes, { text: 'B is loaded too late.' })
    const replies = `${notes}/${note.id}/replies`
    await group.instructor.take('POST', replies, { text: 'Yes, in the loop.' })
    expect([note.isReleased, await textsFor(group.student)]).toEqual([false, []])
    expect((await group.student.post(replies, { text: 'What?' })).statusCode).toBe(404)
    expect(await group.instructor.take<Submission>('GET', `/api/submissions/${id}`)).toMatchObject({
      notes: 0,
      heldNotes: 1,
    })
    await group.assistant.take('POST', `/api/submissions/${id}/release`)
    expect(await textsFor(group.student)).toEqual(['B is loaded too late.', 'Yes, in the loop.'])
    await group.student.take('POST', replies, { text: 'I moved it.' })
    expect(await textsFor(group.assistant)).toEqual(['B is loaded too late.', 'Yes, in the loop.', 'I moved it.'])
    expect(await group.student.take<Submission>('GET', `/api/submissions/${id}`)).toMatchObject({
      notes: 3,
      heldNotes: null,
    })
  })

  test('answered twice stays one thread', async () => {
    const note = await group.assistant.take<Note>('POST', notes, { text: 'Look.', isReleased: true })
    const first = await group.student.take<Note>('POST', `${notes}/${note.id}/replies`, { text: 'Where?' })
    const second = await group.assistant.take<Note>('POST', `${notes}/${first.id}/replies`, { text: 'At 4003h.' })
    expect([first.replyTo, second.replyTo, second.isReleased]).toEqual([note.id, note.id, true])
  })

  test('of another hand-in is not there', async () => {
    const note = await group.assistant.take<Note>('POST', notes, { text: 'Look.', isReleased: true })
    const url = `/api/exercises/${group.exercise.id}/submissions`
    const other = await group.student.take<Submission>('POST', url, wrongProgram)
    const response = await group.student.post(`/api/submissions/${other.id}/notes/${note.id}/replies`, { text: 'Hm.' })
    expect(response.statusCode).toBe(404)
  })

  test('keeps its stretch and the view it was written in; of a hidden case a student gets neither', async () => {
    const at = { caseId: 'plain', step: 1, toStep: 3, view: 'case=plain&step=1&lanes=pc,speaker' }
    await group.assistant.take('POST', notes, { text: 'Here.', ...at, isReleased: true })
    const sealed = { caseId: 'secretcase', step: 1, toStep: 2, view: 'case=secretcase&step=1' }
    await group.assistant.take('POST', notes, { text: 'And here.', ...sealed, isReleased: true })
    const [seen, hidden] = (await group.student.take<NoteList>('GET', notes)).notes
    expect(seen).toMatchObject(at)
    expect(hidden).toMatchObject({ text: 'And here.', caseId: null, step: null, toStep: null, view: null })
  })

  test.each([
    [{ text: 'x', caseId: 'plain', step: 3, toStep: 2 }],
    [{ text: 'x', toStep: 2 }],
    [{ text: 'x', view: 'case=<script>' }],
    [{ caseId: 'plain', step: 3 }],
    [{ text: 'x', savedAnswerId: 'nosuch' }],
  ])('%j is refused', async (body) => {
    expect((await group.assistant.post(notes, body)).statusCode).toBe(400)
  })
})

describe('a saved answer', () => {
  const path = (): string => `/api/courses/${group.course.id}/saved-answers`

  test('is used with one call, and counts each use', async () => {
    const saved = await group.assistant.take<SavedAnswer>('POST', path(), {
      text: 'You reload B too late.',
      causeId: 'not-reloaded',
    })
    expect(saved).toMatchObject({ uses: 0, lastUsedAt: null, causeId: 'not-reloaded' })
    const pin = { savedAnswerId: saved.id, caseId: 'plain', step: 2 }
    expect(await group.assistant.take<Note>('POST', notes, pin)).toMatchObject({
      text: 'You reload B too late.',
      savedAnswerId: saved.id,
    })
    await group.instructor.take('POST', notes, { savedAnswerId: saved.id, text: 'You reload B too late, in the loop.' })
    await group.assistant.take('POST', path(), { text: 'Never used.' })
    const { answers } = await group.instructor.take<SavedAnswerList>('GET', path())
    expect(answers.map(({ text, uses }) => [text, uses])).toEqual([
      ['You reload B too late.', 2],
      ['Never used.', 0],
    ])
  })

  test('can be worded anew and taken away; the notes that used it stay', async () => {
    const { id: answerId } = await group.assistant.take<SavedAnswer>('POST', path(), { text: 'Old words.' })
    await group.assistant.take('POST', notes, { savedAnswerId: answerId })
    expect(
      await group.instructor.take<SavedAnswer>('PATCH', `${path()}/${answerId}`, { text: 'New words.' }),
    ).toMatchObject({ text: 'New words.', uses: 1 })
    expect((await group.assistant.request('DELETE', `${path()}/${answerId}`)).statusCode).toBe(204)
    expect((await group.assistant.request('DELETE', `${path()}/${answerId}`)).statusCode).toBe(404)
    expect(await textsFor(group.assistant)).toEqual(['Old words.'])
  })

  test('of another course cannot be used or changed', async () => {
    const elsewhere = await group.outsider.take<{ id: string }>('POST', '/api/courses', {
      title: 'Third',
      timeZone: 'UTC',
    })
    const other = await group.outsider.take<SavedAnswer>('POST', `/api/courses/${elsewhere.id}/saved-answers`, {
      text: 'Theirs.',
    })
    expect((await group.assistant.post(notes, { savedAnswerId: other.id })).statusCode).toBe(400)
    expect((await group.assistant.request('PATCH', `${path()}/${other.id}`, { text: 'Mine.' })).statusCode).toBe(404)
  })
})
