import { expect, test } from 'vitest'
import { warmUp } from '../../../web/trace/worker/warm-up.ts'

test('the small program that warms the worker up runs to its end', () => {
  expect(warmUp()).toEqual({ kind: 'halted' })
})
