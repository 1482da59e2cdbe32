import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest'
import { limits } from './cost.ts'
import { parsers } from './parsers.ts'
import { openFuzzedServer, tryParser, type FuzzedServer, type Trial } from './trials.ts'

/** `npm run fuzz` tries many times as much, with a seed of its own; `FUZZ_TIMES` and `FUZZ_SEED` say how much, and which. */
const times = Number(process.env['FUZZ_TIMES'] ?? 1)
const seed = Number(process.env['FUZZ_SEED'] ?? (times === 1 ? 20_261_201 : Math.floor(Math.random() * 2 ** 31)))
vi.setConfig({ testTimeout: 120_000 * times })

const done: Trial[] = []

function expectNothing(trial: Trial): void {
  done.push(trial)
  expect([trial.name, trial.failure]).toEqual([trial.name, null])
}

/** What was tried; of the routes only those that cost most are named. */
function table(): string {
  const lines = done
    .toSorted((a, b) => b.dearest.cpuMs - a.dearest.cpuMs)
    .slice(0, 15)
    .map(({ name, cases, dearest: { cpuMs, megabytes } }) =>
      [cases, cpuMs.toFixed(1), megabytes.toFixed(1), name].join('\t'),
    )
  const cases = done.reduce((sum, each) => sum + each.cases, 0)
  return [`fuzz: seed ${seed}, ${cases} cases, the dearest:`, 'cases\tms of CPU\tMB\t', ...lines].join('\n')
}
afterAll(() => console.log(table()))

describe(`nothing that is sent costs more than ${limits.cpuMs} ms of CPU or ${limits.megabytes} MB, or throws`, () => {
  test.each(parsers)('$name', async (parser) => expectNothing(await tryParser(parser, { seed, cases: 150 * times })))
})

describe('a server', () => {
  let server: FuzzedServer
  beforeAll(async () => {
    server = await openFuzzedServer()
  })
  afterAll(() => server.close())

  test('answers every route with no mistake of its own, whatever is asked', async () => {
    expect(server.routes.length).toBeGreaterThan(45)
    for (const route of server.routes) expectNothing(await server.tryRoute(route, { seed, cases: 12 * times }))
  })

  test('takes any messages on a live view', async () =>
    expectNothing(await server.trySocket({ seed, cases: 40 * times })))

  test('takes any bytes on a connection', async () =>
    expectNothing(await server.tryConnection({ seed, cases: 80 * times })))
})
