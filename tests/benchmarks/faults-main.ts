/**
 * `npm run faults [-- --rate PER-SECOND --seconds N]`: a class hands in to real processes while one of them is killed, hangs or is cut
 * off, one fault after the other. Needs a PostgreSQL (PG_BIN). Ends with 1 when an accepted hand-in has not exactly one report.
 */
import { parseArgs } from 'node:util'
import { postgresBin } from '../server/postgres.ts'
import { faults, install, type Outcome } from './faults.ts'

const { values } = parseArgs({
  options: { rate: { type: 'string', default: '10' }, seconds: { type: 'string', default: '5' } },
})
const bin = postgresBin()
if (bin === null) throw new Error('No PostgreSQL was found; name the folder of initdb in PG_BIN.')
const installation = await install(bin)
const outcomes: Outcome[] = []
try {
  for (const fault of faults) {
    const outcome = await installation.burst(fault, Number(values.rate), Number(values.seconds))
    outcomes.push(outcome)
    console.log(JSON.stringify(outcome))
  }
} finally {
  await installation.close()
}
console.table(
  outcomes.map(({ others, settled, ...each }) => ({
    ...each,
    others: others.join(' '),
    settled: settled?.toFixed(1) ?? '> 120',
  })),
)
if (outcomes.some(({ lost, doubled, others }) => lost + doubled + others.length > 0)) process.exitCode = 1
