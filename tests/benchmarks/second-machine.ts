/** Two machines in one process, in turn: how many times as long the second one takes for the same as the first. */
import { createCpu, type Bus, type Cpu } from '../../core/cpu/index.ts'
import { typescriptEngine } from '../../core/cpu/create-cpu.ts'
import { Machine } from '../../core/cpu/machine.ts'
import { entry, memoryOf, workloads } from './workloads.ts'

const bus: Bus = { readPort: () => 0xff, writePort() {}, acknowledge: () => 0xff, watchedWrite() {} }

const fewest = 60
const most = 2_000

/**
 * The worst of the workloads; each machine's best of many runs of a millisecond or two, in turn. Other work on the computer
 * can only make a run longer, so where the second machine seems slower both have more tries: one that is so stays so.
 */
function ratioOf(create: () => Cpu): number {
  const ratios = workloads.map((workload) => {
    const image = memoryOf(workload, workload.measured)
    const run = (cpu: Cpu) => {
      cpu.memory.set(image)
      cpu.setRegisters({ pc: entry, isHalted: false })
      const start = performance.now()
      cpu.run(Infinity, true)
      return performance.now() - start
    }
    const first = create()
    for (let times = 0; times < 20; times++) run(first)
    const second = create()
    let [bestOfFirst, bestOfSecond] = [Infinity, Infinity]
    for (let times = 0; times < fewest || (times < most && bestOfSecond > 1.05 * bestOfFirst); times++) {
      bestOfFirst = Math.min(bestOfFirst, run(first))
      bestOfSecond = Math.min(bestOfSecond, run(second))
    }
    return bestOfSecond / bestOfFirst
  })
  return Math.max(...ratios)
}

console.log(
  JSON.stringify({
    webAssembly: ratioOf(() => createCpu(bus)),
    typescript: ratioOf(() => new Machine(bus, typescriptEngine)),
  }),
)
