import { describe, expect, test } from 'vitest'
import type { Submission } from '../../../server/contract/index.ts'
import { Api } from '../../../web/state/api.ts'
import { FollowSubmission } from '../../../web/state/FollowSubmission.svelte.ts'
import { Live, type Socket } from '../../../web/state/Live.svelte.ts'

const waiting = {
  id: 's',
  courseId: 'c',
  exerciseId: 'e',
  state: 'waiting',
  wait: { ahead: 2, expectedSeconds: 4, isGraderLive: true },
  report: null,
} as unknown as Submission

function following(states: readonly Partial<Submission>[]) {
  let asked = 0
  const api = new Api(() =>
    Promise.resolve(Response.json({ ...waiting, ...states[Math.min(asked++, states.length - 1)] })),
  )
  const socket: Socket = {
    readyState: 0,
    onopen: null,
    onmessage: null,
    onclose: null,
    send: () => {},
    close: () => {},
  }
  const live = new Live({ open: () => socket, after: () => () => {} })
  return { follow: new FollowSubmission(api, live, 's'), asked: () => asked, socket }
}

const settled = () => new Promise((resolve) => setTimeout(resolve, 0))

describe('following a hand-in', () => {
  test('shows how many cases have run', async () => {
    const { follow } = following([{}])
    await follow.resource.load()
    follow.hear({
      kind: 'submission-running',
      submissionId: 's',
      courseId: 'c',
      exerciseId: 'e',
      studentId: 'p',
      progress: { casesDone: 2, cases: 5 },
    })
    expect(follow.submission).toMatchObject({ state: 'running', wait: null })
    expect(follow.progress).toEqual({ casesDone: 2, cases: 5 })
  })

  test('fetches the report when it is graded, and is then done', async () => {
    const { follow, asked } = following([{}, { state: 'graded', score: 70 }])
    await follow.resource.load()
    follow.hear({ kind: 'submission-graded', submission: { ...waiting, state: 'graded' } })
    await settled()
    expect([asked(), follow.submission?.score, follow.isUnderWay]).toEqual([2, 70, false])
  })

  test('takes no notice of other hand-ins', async () => {
    const { follow, asked } = following([{}])
    await follow.resource.load()
    follow.hear({ kind: 'submission-graded', submission: { ...waiting, id: 'other' } })
    await settled()
    expect(asked()).toBe(1)
  })

  test('fetches what happened between reading the page and watching it', async () => {
    const { follow, asked } = following([{}, { state: 'graded' }])
    await follow.resource.load()
    follow.hear({ kind: 'watching-submission', submission: { ...waiting, state: 'graded' } })
    await settled()
    expect([asked(), follow.submission?.state]).toEqual([2, 'graded'])
  })

  test('news that come late do not start it again once it is graded', async () => {
    const { follow } = following([{ state: 'graded' }])
    await follow.resource.load()
    follow.hear({
      kind: 'submission-running',
      submissionId: 's',
      courseId: 'c',
      exerciseId: 'e',
      studentId: 'p',
      progress: null,
    })
    expect(follow.submission?.state).toBe('graded')
  })

  test('polls only while it waits without a live connection', async () => {
    const { follow, asked, socket } = following([{}, {}, { state: 'graded' }])
    await follow.resource.load()
    follow.poll()
    await settled()
    expect(asked()).toBe(2)
    const stop = follow.follow()
    Object.assign(socket, { readyState: 1 })
    socket.onopen?.({} as never)
    follow.poll()
    await settled()
    expect(asked()).toBe(2)
    stop()
  })
})
