/**
 * Every model and second answer with measuring checks, on every case, with the timer in 64 phases and with delays of 1 to
 * 255 rounds before the program, each tone and one sweep after another: each must pass every measuring check.
 * `tsx tests/benchmarks/shifts.ts [--step N] [EXERCISE…]`. --step takes every Nth of them; prints what is lost, then a count.
 */
import { parseArgs } from 'node:util'
import { lostBy, subjects, type Shift } from '../core/exercise/shifted.ts'

const { values, positionals } = parseArgs({ options: { step: { type: 'string' } }, allowPositionals: true })
const step = Number(values.step ?? 1)
/** A tick of Bench-8 comes every 25,000 T. */
const phases = Array.from({ length: 64 }, (_, k) => ({ phase: Math.round((k * 25_000) / 64), rounds: 0 }))
const delays = Array.from({ length: 255 }, (_, k) => ({ phase: 0, rounds: k + 1 }))
const shifts: readonly Shift[] = [...phases, ...delays].filter((_, k) => k % step === 0)

let [tried, lost] = [0, 0]
for (const subject of subjects()) {
  if (positionals.length > 0 && !positionals.includes(subject.folder)) continue
  const own = (subject.request.given.isTimerOn ? shifts : shifts.filter(({ phase }) => phase === 0)).map((shift, k) =>
    // 97 has no divisor in common with a sweep's place in a sign, so all places get their turn.
    subject.sweeps.length === 0 ? shift : { ...shift, sweep: (k * 97) % subject.sweeps.length },
  )
  const before = process.cpuUsage()
  const found = own.flatMap((shift) => lostBy(subject, shift))
  const { user, system } = process.cpuUsage(before)
  tried += own.length
  lost += found.length
  const { folder, file, caseId } = subject
  console.log(
    `${folder} ${file} ${caseId}: ${own.length} shifts, ${found.length} checks lost, ${(user + system) / 1e6} s`,
  )
  for (const line of found.slice(0, 5)) console.log(`   ${line}`)
}
console.log(`${tried} runs, ${lost} checks lost`)
process.exitCode = lost === 0 ? 0 : 1
