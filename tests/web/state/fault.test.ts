import { afterEach, expect, test, vi } from 'vitest'
import { ApiFault } from '../../../web/state/fault.ts'

afterEach(() => void vi.useRealTimers())

const refused = {
  ...{ type: '/api/problems#too-many-failures', code: 'too-many-failures', title: 'Too many wrong sign-ins.' },
  ...{ status: 429, detail: 'Try again in 2 minutes.', instance: '1' },
}

test('whoever has to wait is told until when, by the clock on the wall', () => {
  vi.useFakeTimers({ toFake: ['Date'], now: new Date(2026, 10, 30, 9, 15, 20) })
  const { advice, isPassing } = new ApiFault({ ...refused, retryAfter: 120 }, 429)
  expect(advice).toContain(
    new Date(2026, 10, 30, 9, 17, 20).toLocaleTimeString([], { hour: '2-digit', minute: '2-digit', second: '2-digit' }),
  )
  expect(isPassing).toBe(true)
})

test('without a time it is a moment', () => {
  expect(new ApiFault(refused, 429).advice).toBe('Wait a moment, then try again.')
})
