import { describe, expect, test } from 'vitest'
import type { Hint } from '../../../server/contract/index.ts'
import { Api } from '../../../web/state/api.ts'
import { HintSteps, lacking } from '../../../web/state/HintSteps.svelte.ts'

const hint = (number: number, more: Partial<Hint> = {}): Hint => ({
  number,
  rung: 'point',
  ask: `question ${number}`,
  say: null,
  answer: null,
  takenAt: null,
  needs: null,
  checks: [],
  ...more,
})

async function stepsOf(hints: Hint[], told: Hint): Promise<HintSteps> {
  const api = new Api(async (_path, request) => Response.json(request?.method === 'POST' ? told : { hints }))
  const steps = new HintSteps(api, 'e')
  await steps.resource.load()
  return steps
}

describe('the ladder of hints on a page', () => {
  test('offers what helps with the checks that failed', async () => {
    const steps = await stepsOf([hint(1), hint(2, { checks: ['sum'] }), hint(3, { checks: ['size'] })], hint(1))
    expect(steps.offered(['sum']).map(({ number }) => number)).toEqual([1, 2])
  })

  test('a rung that was climbed frees the next one', async () => {
    const told = hint(1, { say: 'Look at 4600h.', answer: 'The sum is wrong.' })
    const steps = await stepsOf([hint(1), hint(2, { rung: 'nearly', needs: 1 }), hint(3, { needs: 2 })], told)
    await steps.take.run(1, 'The sum is wrong.')
    expect(steps.offered([]).map(({ say, needs }) => [say, needs])).toEqual([
      ['Look at 4600h.', null],
      [null, null],
      [null, 2],
    ])
  })
})

test.each([
  ['', 15],
  ['fourteen chars', 1],
  ['  fourteen chars  ', 1],
  ['fifteen letters', 0],
])('the answer %j lacks %i characters', (answer, short) => {
  expect(lacking(answer)).toBe(short)
})
