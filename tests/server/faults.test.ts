import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest'
import { faults, install, type Installation } from '../benchmarks/faults.ts'
import { postgresBin } from './postgres.ts'

vi.setConfig({ hookTimeout: 300_000, testTimeout: 300_000 })

const bin = postgresBin()

// The others, in longer bursts: `npm run faults`.
describe.skipIf(bin === null)('each accepted hand-in has exactly one report', () => {
  let on: Installation
  beforeAll(async () => {
    on = await install(bin ?? '')
  })
  afterAll(() => on?.close())

  test.each(faults.filter(({ name }) => name.endsWith('PostgreSQL')))('after $name', async (fault) => {
    const outcome = await on.burst(fault, 4, 2)
    expect(outcome.accepted).toBeGreaterThan(0)
    expect(outcome).toMatchObject({ lost: 0, doubled: 0, others: [] })
    expect(outcome.settled).not.toBeNull()
  })
})
