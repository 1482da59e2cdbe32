import type { RouteOptions } from 'fastify'
import { afterAll, beforeAll, expect, test } from 'vitest'
import type { Diagnosis, Note, SavedAnswer, Submission } from '../../server/contract/index.ts'
import { inThread, openHouse, poolOf, type House, type Visitor } from './harness.ts'
import { openClass, rightProgram, sumYaml, wrongProgram, type Class } from './sample.ts'

/** Of the hidden case and check: names, titles, given and wanted values. Of the answer: the instruction, and the hints' words. */
const hidden = /secretcase|sealed|CDh|B1h|0xcd|\b205\b|\b177\b|ADD A, ?\(HL\)|ADD adds|stands at 4600h/i

const routes: RouteOptions[] = []
let house: House
let group: Class
let submission: Submission
let note: Note
let answer: SavedAnswer

beforeAll(async () => {
  // What a search finds, with a hidden cause on top of it.
  const pool = poolOf(inThread.grade, 1, async (inputs, aside) => {
    const found = await inThread.diagnose(inputs, aside)
    if (found === 'stood-aside') return found
    const sealed = {
      id: 'sealed-cause',
      title: 'Sealed cause',
      message: 'A = CDh is wanted.',
      caseId: 'secretcase',
      step: 1,
      t: 10,
      address: 0x4003,
      line: null,
      found: '95h',
      wanted: 'CDh',
      card: null,
      checkIds: ['sealedcheck'],
      certainty: 1,
      isVisible: false,
    }
    return { ...found, causes: [sealed, ...found.causes] }
  })
  house = await openHouse({ pool, onRoute: (route) => routes.push(route) })
  group = await openClass(house)
  const { student, assistant, exercise, course } = group
  const waiting = { prefer: 'wait=30' }
  submission = await student.take('POST', `/api/exercises/${exercise.id}/submissions`, wrongProgram, waiting)
  const at = { caseId: 'secretcase', step: 2, view: 'case=secretcase&step=2' }
  const notes = `/api/submissions/${submission.id}/notes`
  note = await assistant.take('POST', notes, { text: 'Look.', ...at, isReleased: true })
  await assistant.take('POST', notes, { text: 'Sealed until it is released.', ...at })
  answer = await assistant.take('POST', `/api/courses/${course.id}/saved-answers`, { text: 'Sealed answer.' })
  for (;;) {
    const { state } = await assistant.take<Diagnosis>('GET', `/api/submissions/${submission.id}/diagnosis`)
    if (state === 'ready') break
    await new Promise((resolve) => setTimeout(resolve, 20))
  }
})
afterAll(() => house.close())

const bodies: Record<string, unknown> = {
  'POST /api/exercises/:exerciseId/submissions': wrongProgram,
  'POST /api/submissions/:submissionId/notes/:noteId/replies': { text: 'I see.' },
  'POST /api/exercises/:exerciseId/hints/:rung': { answer: 'too short' },
  'PUT /api/exercises/:exerciseId': { source: sumYaml, revision: 1 },
}

async function replyTo(visitor: Visitor, method: string, url: string): Promise<string> {
  const path = url
    .replace(':courseId', group.course.id)
    .replace(':exerciseId', group.exercise.id)
    .replace(':submissionId', submission.id)
    .replace(':userId', group.otherStudent.id)
    .replace(':boardId', 'bench-8')
    .replace(':noteId', note.id)
    .replace(':answerId', answer.id)
    .replace(':rung', '1')
  const response = await visitor.request(method, path, bodies[`${method} ${url}`], { prefer: 'wait=30' })
  return `${JSON.stringify(response.headers)} ${withoutBoard(response.body)}`
}

/** The board is public, and the bytes of its firmware are numbers of every sort. */
function withoutBoard(body: string): string {
  if (!body.startsWith('{')) return body
  const reply = JSON.parse(body) as Record<string, unknown>
  return JSON.stringify({ ...reply, board: null })
}

test('no reply of any route to a student holds anything of a hidden case or check, or of the answer', async () => {
  const seen: string[] = []
  for (const route of routes)
    for (const method of [route.method].flat()) {
      // Nothing that ends the session or takes what the next route needs away; the pages that describe the API hold no data.
      if (/^(HEAD|DELETE|OPTIONS)$/.test(method) || !route.url.startsWith('/api/')) continue
      if (/^\/api\/(docs|openapi|boards)/.test(route.url)) continue
      const reply = await replyTo(group.student, method, route.url)
      expect([`${method} ${route.url}`, hidden.exec(reply)?.[0]]).toEqual([`${method} ${route.url}`, undefined])
      seen.push(`${method} ${route.url}`)
    }
  expect(seen).toContain('GET /api/submissions/:submissionId/diagnosis')
  expect(seen.length).toBeGreaterThan(35)
})

test('the words looked for are the right ones: staff do get them', async () => {
  for (const end of ['', '/trace', '/diagnosis', '/notes'])
    expect([end, hidden.test(await replyTo(group.assistant, 'GET', `/api/submissions/:submissionId${end}`))]).toEqual([
      end,
      true,
    ])
})

test('a right hand-in tells no more', async () => {
  const url = `/api/exercises/${group.exercise.id}/submissions`
  const right = await group.student.take<Submission>('POST', url, { ...rightProgram }, { prefer: 'wait=30' })
  for (const end of ['', '/trace', '/diagnosis', '/notes']) {
    const { body } = await group.student.get(`/api/submissions/${right.id}${end}`)
    expect([end, hidden.exec(withoutBoard(body))?.[0]]).toEqual([end, undefined])
  }
})
