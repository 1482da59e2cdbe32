/**
 * The long differential run: `npx tsx tests/benchmarks/fuzz.ts [--steps N] [--seed N]`. Random programs on the WebAssembly
 * interpreter and on the table itself until they have done 10^8 steps (or N), compared as in tests/conformance/differential.ts.
 */
import { parseArgs } from 'node:util'
import { createBusProbe } from '../../core/cpu/index.ts'
import { difference } from '../conformance/differential.ts'
import { engines } from '../core/cpu/engines.ts'

const { values } = parseArgs({ options: { steps: { type: 'string' }, seed: { type: 'string' } } })
const steps = Number(values.steps ?? 1e8)
const seed = Number(values.seed ?? (Math.random() * 0x7fffffff) | 0)
const [name, create] = engines[0] ?? []
if (!name || !create) throw new Error('no engine')

const part = 1_000_000
console.log(`${name} against the table, ${steps} steps, seed ${seed} and the ones after it, ${part} steps each`)
const start = performance.now()
for (let done = 0; done < steps; done += part) {
  const found = difference(create, (bus) => createBusProbe(bus, () => {}), seed + done / part, part)
  if (found) {
    console.error(found)
    process.exitCode = 1
    break
  }
  if ((done / part) % 10 === 9) {
    console.log(`${done + part} steps agree, ${((performance.now() - start) / 1000).toFixed(0)} s`)
  }
}
