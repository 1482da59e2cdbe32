import type { RouteOptions } from 'fastify'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type { Note, SavedAnswer, Submission } from '../../server/contract/index.ts'
import { openHouse, type House, type Visitor } from './harness.ts'
import { openClass, rightProgram, sumYaml, type Class } from './sample.ts'

const actors = ['anonymous', 'student', 'otherStudent', 'assistant', 'instructor', 'outsider'] as const
type Actor = (typeof actors)[number]

/** What each of them is answered, in the order above: on the course, its exercise and the submission of `student`. */
const expected: Record<string, string> = {
  'GET /api/health': '200 200 200 200 200 200',
  'GET /api/health/live': '200 200 200 200 200 200',
  'GET /api/health/ready': '200 200 200 200 200 200',
  'GET /api/problems': '200 200 200 200 200 200',
  'GET /api/openapi.json': '200 200 200 200 200 200',
  'GET /api/boards': '200 200 200 200 200 200',
  'GET /api/boards/:boardId': '200 200 200 200 200 200',
  'GET /api/session': '200 200 200 200 200 200',
  'POST /api/session': '401 401 401 401 401 401',
  'POST /api/accounts': '422 422 422 422 422 422',
  'PUT /api/session/password': '401 422 422 422 422 422',
  'POST /api/password-links': '403 403 403 403 403 403',
  'POST /api/password-links/used': '403 403 403 403 403 403',

  'GET /api/courses': '401 200 200 200 200 200',
  'POST /api/courses': '401 403 403 403 201 201',
  'POST /api/courses/join': '401 422 422 422 422 422',
  'GET /api/courses/:courseId': '401 200 200 200 200 404',
  'PATCH /api/courses/:courseId': '401 403 403 403 200 404',
  'POST /api/courses/:courseId/join-code': '401 403 403 403 200 404',
  'GET /api/courses/:courseId/members': '401 403 403 200 200 404',
  'PATCH /api/courses/:courseId/members/:userId': '401 403 403 403 200 404',
  'POST /api/courses/:courseId/members/:userId/password-link': '401 403 403 403 201 404',

  'GET /api/courses/:courseId/exercises': '401 200 200 200 200 404',
  'POST /api/courses/:courseId/exercises': '401 403 403 403 201 404',
  'GET /api/exercises/:exerciseId': '401 200 200 200 200 404',
  'PUT /api/exercises/:exerciseId': '401 403 403 403 200 404',
  'PATCH /api/exercises/:exerciseId': '401 403 403 403 200 404',
  'GET /api/exercises/:exerciseId/revisions': '401 403 403 200 200 404',
  'GET /api/exercises/:exerciseId/extensions': '401 403 403 200 200 404',
  // The exercise never ends.
  'PUT /api/exercises/:exerciseId/extensions/:userId': '401 403 403 403 422 404',
  'DELETE /api/exercises/:exerciseId/extensions/:userId': '401 403 403 403 200 404',

  'GET /api/exercises/:exerciseId/hints': '401 200 200 200 200 404',
  'POST /api/exercises/:exerciseId/hints/:rung': '401 200 200 200 200 404',
  'GET /api/courses/:courseId/feedback': '401 403 403 200 200 404',
  'PUT /api/courses/:courseId/feedback': '401 403 403 403 200 404',
  'GET /api/exercises/:exerciseId/feedback': '401 403 403 200 200 404',
  'PUT /api/exercises/:exerciseId/feedback': '401 403 403 403 200 404',

  'POST /api/exercises/:exerciseId/submissions': '401 202 202 202 202 404',
  'GET /api/exercises/:exerciseId/submissions': '401 200 200 200 200 404',
  'GET /api/submissions/:submissionId': '401 200 404 200 200 404',
  'GET /api/submissions/:submissionId/trace': '401 200 404 200 200 404',
  'GET /api/submissions/:submissionId/diagnosis': '401 200 404 200 200 404',
  'GET /api/submissions/:submissionId/notes': '401 200 404 200 200 404',
  'POST /api/submissions/:submissionId/notes': '401 403 404 201 201 404',
  // The note was released: another one is not there for a student.
  'POST /api/submissions/:submissionId/notes/:noteId/replies': '401 201 404 201 201 404',
  'POST /api/submissions/:submissionId/release': '401 403 404 200 200 404',
  'PUT /api/submissions/:submissionId/review': '401 403 404 200 200 404',
  // The grader has not failed on it.
  'POST /api/submissions/:submissionId/grade-again': '401 403 404 409 409 404',

  // The sample exercise asks no question.
  'PUT /api/submissions/:submissionId/written/:questionId': '401 403 404 404 404 404',

  'GET /api/courses/:courseId/progress': '401 403 403 200 200 404',
  'GET /api/courses/:courseId/marks': '401 200 200 200 200 404',
  'GET /api/courses/:courseId/marks.csv': '401 403 403 200 200 404',
  'GET /api/courses/:courseId/review': '401 403 403 200 200 404',

  'GET /api/courses/:courseId/saved-answers': '401 403 403 200 200 404',
  'POST /api/courses/:courseId/saved-answers': '401 403 403 201 201 404',
  'PATCH /api/courses/:courseId/saved-answers/:answerId': '401 403 403 200 200 404',
  // The assistant has taken it away before the instructor comes.
  'DELETE /api/courses/:courseId/saved-answers/:answerId': '401 403 403 204 404 404',

  // Without an upgrade; the socket itself has tests of its own.
  'GET /api/live': '401 426 426 426 426 426',
  // The other student is taken out, and brought back; then members leave.
  'DELETE /api/courses/:courseId/members/:userId': '401 403 403 403 204 404',
  'PUT /api/courses/:courseId/members/:userId': '401 403 404 403 200 404',
  'DELETE /api/courses/:courseId/membership': '401 204 204 204 409 404',
  // Last: it takes everybody's session.
  'DELETE /api/session': '204 204 204 204 204 204',
}

const bodies: Record<string, unknown> = {
  'POST /api/session': { userName: 'nobody', password: 'not the word' },
  'POST /api/accounts': { userName: 'newcomer', displayName: 'N', password: 'long enough 1', joinCode: 'AAAA-AAAA' },
  'PUT /api/session/password': { current: 'not the word', password: 'long enough 1' },
  'POST /api/password-links': { token: 'guessed' },
  'POST /api/password-links/used': { token: 'guessed', password: 'long enough 1' },
  'POST /api/courses': { title: 'Another', timeZone: 'UTC' },
  'POST /api/courses/join': { code: 'AAAA-AAAA' },
  'PATCH /api/courses/:courseId': { title: 'Depot' },
  'PATCH /api/courses/:courseId/members/:userId': { role: 'student' },
  'POST /api/courses/:courseId/exercises': { source: sumYaml.replace('id: sum', 'id: sum2') },
  'PUT /api/exercises/:exerciseId': { source: sumYaml, revision: 1 },
  'PATCH /api/exercises/:exerciseId': { isPublished: true },
  'PUT /api/exercises/:exerciseId/extensions/:userId': { dueAt: '2026-12-24T12:00:00Z', closesAt: null, reason: '' },
  'POST /api/exercises/:exerciseId/submissions': rightProgram,
  'POST /api/submissions/:submissionId/notes': { text: 'Look here.' },
  'POST /api/submissions/:submissionId/notes/:noteId/replies': { text: 'I see.' },
  'PUT /api/submissions/:submissionId/review': { state: 'open' },
  'PUT /api/submissions/:submissionId/written/:questionId': { points: [] },
  'POST /api/exercises/:exerciseId/hints/:rung': { answer: 'The sum is one too many.' },
  'PUT /api/courses/:courseId/feedback': { settings: { order: null, off: ['reflect'], texts: {} } },
  'PUT /api/exercises/:exerciseId/feedback': { settings: { order: ['gap'], off: [], texts: {} } },
  'POST /api/courses/:courseId/saved-answers': { text: 'You reload B too late.' },
  'PATCH /api/courses/:courseId/saved-answers/:answerId': { text: 'B is loaded too late.' },
}

const routes: RouteOptions[] = []
let house: House
let group: Class
let submission: Submission
let note: Note
let answer: SavedAnswer
beforeAll(async () => {
  house = await openHouse({ limits: { passwordFailures: 100 }, onRoute: (route) => routes.push(route) })
  group = await openClass(house)
  submission = await group.student.take('POST', `/api/exercises/${group.exercise.id}/submissions`, rightProgram)
  note = await group.assistant.take('POST', `/api/submissions/${submission.id}/notes`, {
    text: 'Look at step 3.',
    isReleased: true,
  })
  answer = await group.assistant.take('POST', `/api/courses/${group.course.id}/saved-answers`, { text: 'Look again.' })
})
afterAll(() => house.close())

function namesOf(route: RouteOptions): string[] {
  return [route.method].flat().map((method) => `${method} ${route.url}`)
}

function visitorFor(actor: Actor): Visitor {
  return actor === 'anonymous' ? house.visitor() : group[actor]
}

describe('every route', () => {
  test('is in the table of rights, and nothing else is', () => {
    const served = routes.flatMap(namesOf).filter((name) => !/^HEAD |^\S+ \/api\/docs/.test(name))
    expect(served.toSorted()).toEqual(Object.keys(expected).toSorted())
  })

  test('lies in a scope, and behind the sign-in says what it does', () => {
    for (const route of routes) {
      if (/^\/api\/(docs|openapi\.json)/.test(route.url)) continue
      const { scope, deed } = route.config ?? {}
      expect([route.url, scope]).toEqual([route.url, expect.stringMatching(/^(public|signed-in|staff)$/)])
      if (scope !== 'public') expect([route.url, deed]).toEqual([route.url, expect.any(String)])
    }
  })
})

describe.each(Object.entries(expected))('%s', (name, statuses) => {
  test.each(actors.map((actor, i) => [actor, statuses.split(' ')[i]] as const))(
    'answers %s with %s',
    async (actor, status) => {
      const [method = '', path = ''] = name.split(' ')
      const url = path
        .replace(':courseId', group.course.id)
        .replace(':exerciseId', group.exercise.id)
        .replace(':submissionId', submission.id)
        .replace(':userId', group.otherStudent.id)
        .replace(':boardId', 'bench-8')
        .replace(':noteId', note.id)
        .replace(':questionId', 'why')
        .replace(':answerId', answer.id)
        .replace(':rung', '1')
      const response = await visitorFor(actor).request(method, url, bodies[name])
      expect(`${response.statusCode} ${response.statusCode >= 400 ? response.body : ''}`).toMatch(
        new RegExp(`^${status}`),
      )
      if (response.statusCode >= 400) expect(response.headers['content-type']).toContain('application/problem+json')
    },
  )
})

test('the pages that describe the API are public', async () => {
  const response = await house.visitor().get('/api/docs')
  expect(response.statusCode).toBe(200)
  expect(response.body).toContain('swagger')
})
