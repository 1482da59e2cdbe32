/** One core in a fresh process: `steady.ts CORE`. Prints for each workload what a run gave and how fast the best one was. */
import { cores, type CoreName, type Outcome } from './cores.ts'
import { memoryOf, timesEach, workloads } from './workloads.ts'

const core = cores[process.argv[2] as CoreName]
const outcomes: Record<string, Outcome> = {}
for (const workload of workloads) {
  const long = memoryOf(workload, workload.rounds)
  const image = memoryOf(workload, workload.measured)
  for (let warm = 0; warm < 3; warm++) core(long)
  let best = core(image)
  for (let times = 1; times < timesEach; times++) {
    const next = core(image)
    if (next.ms < best.ms) best = next
  }
  outcomes[workload.name] = best
}
console.log(JSON.stringify(outcomes))
