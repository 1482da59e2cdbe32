/**
 * The first 5 million T-states of a program that this process has never run: `unseen.ts WORKLOAD warm|cold`. Prints the
 * milliseconds, those for making the machine included. Warm: both other workloads have run here before.
 */
import { cores } from './cores.ts'
import { memoryOf, workloads } from './workloads.ts'

const [name, state] = process.argv.slice(2)
const unseen = workloads.find((each) => each.name === name)
if (!unseen || (state !== 'warm' && state !== 'cold')) throw new Error('unseen.ts WORKLOAD warm|cold')
const seen = state === 'warm' ? workloads.filter((each) => each !== unseen) : []
for (const workload of seen) {
  const image = memoryOf(workload, workload.rounds)
  for (let times = 0; times < 10; times++) cores.Hexcairn(image)
}
const { ms, msToMake, tStates } = cores.Hexcairn(memoryOf(unseen, unseen.measured))
// The workload is some tenths longer or shorter than 5 million T-states.
console.log(JSON.stringify({ ms: msToMake + (ms * 5e6) / tStates, msToMake }))
