import { expect, test } from 'vitest'
import { createBusProbe } from '../../core/cpu/index.ts'
import { engines } from '../core/cpu/engines.ts'
import { difference } from './differential.ts'

// The law: whatever is made from the table agrees with the table itself, done machine cycle by machine cycle. The long run
// of the same is tests/benchmarks/fuzz.ts.
const seed = Number(process.env['FUZZ_SEED'] ?? (Math.random() * 0x7fffffff) | 0)

test.each(engines.slice(0, 2))(`the %s and the table agree on random programs, seed ${seed}`, (_name, create) => {
  expect(difference(create, (bus) => createBusProbe(bus, () => {}), seed, 200_000)).toBe(null)
})
