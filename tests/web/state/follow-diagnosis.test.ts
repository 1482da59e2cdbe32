import { expect, test } from 'vitest'
import type { ServerMessage } from '../../../server/contract/index.ts'
import { Api } from '../../../web/state/api.ts'
import { FollowDiagnosis } from '../../../web/state/FollowDiagnosis.svelte.ts'

const states = (list: string[]): { search: FollowDiagnosis; asked: () => number } => {
  let asked = 0
  const api = new Api(async () => Response.json({ state: list[Math.min(asked++, list.length - 1)] }))
  return { search: new FollowDiagnosis(api, 's'), asked: () => asked }
}
const settled = () => new Promise((resolve) => setTimeout(resolve, 5))

test('a search that is under way is read again when the news of its end come', async () => {
  const { search, asked } = states(['looking', 'ready'])
  await search.resource.load()
  expect(search.isLooking).toBe(true)
  search.hear({ kind: 'diagnosis-ready', submissionId: 'other', courseId: 'c' })
  await settled()
  expect(asked()).toBe(1)
  search.hear({ kind: 'diagnosis-ready', submissionId: 's', courseId: 'c' })
  await settled()
  expect(search.isLooking).toBe(false)
})

test('a search that ended before it was watched is read again, whichever came first', async () => {
  const watching = (diagnosis: string, id = 's') =>
    ({ kind: 'watching-submission', submission: { id, diagnosis } }) as unknown as ServerMessage
  const { search, asked } = states(['looking', 'ready'])
  await search.resource.load()
  search.hear(watching('looking'))
  search.hear(watching('ready', 'other'))
  await settled()
  expect(asked()).toBe(1)
  search.hear(watching('ready'))
  await settled()
  expect([asked(), search.isLooking]).toEqual([2, false])
  search.hear(watching('ready'))
  await settled()
  expect(asked()).toBe(2)

  const late = states(['looking', 'ready'])
  const first = late.search.resource.load()
  late.search.hear(watching('ready'))
  await first
  await settled()
  expect([late.asked(), late.search.isLooking]).toEqual([2, false])
})

test('without a live line it is asked for, and with one it is not', async () => {
  const { search, asked } = states(['looking', 'looking', 'ready'])
  await search.resource.load()
  search.poll(true)
  await settled()
  expect(asked()).toBe(1)
  search.poll(false)
  await settled()
  expect([asked(), search.isLooking]).toEqual([2, true])
  search.poll(false)
  await settled()
  search.poll(false)
  await settled()
  expect([asked(), search.isLooking]).toEqual([3, false])
})
