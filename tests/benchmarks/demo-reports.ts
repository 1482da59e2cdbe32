/**
 * The reports of the demo course: every answer of every exercise is graded, and the CPU time of each taken, so that other
 * work on the computer changes little. `demo-reports.ts [--rounds N] [--json] [EXERCISE…]` prints a line an exercise.
 */
import { parseArgs } from 'node:util'
import { benchEight } from '../../core/board/index.ts'
import { grade } from '../../core/grading/index.ts'
import { exerciseOf, filesOf, folders, programOf } from '../core/exercise/tram-depot.ts'
import { median } from './report.ts'

const { values, positionals } = parseArgs({
  options: { rounds: { type: 'string' }, json: { type: 'boolean' } },
  allowPositionals: true,
})
const rounds = Number(values.rounds ?? 3)
const chosen = positionals.length > 0 ? positionals : folders
const seed = 7

function cpuMs(work: () => void): number {
  const before = process.cpuUsage()
  work()
  const { user, system } = process.cpuUsage(before)
  return (user + system) / 1000
}

const rows = chosen.map((exercise) => {
  const document = exerciseOf(exercise)
  const files = Object.keys(filesOf(exercise)).filter((name) => /^(model|other|wrong-.*)\.(asm|hex|ihx)$/.test(name))
  const ms = files.map((name) => {
    const program = programOf(exercise, name, seed)
    const once = (): number => cpuMs(() => void grade(program, document, benchEight, { seed }))
    once()
    return median(Array.from({ length: rounds }, once))
  })
  return { exercise, answers: ms.length, ms: median(ms), longestMs: Math.max(...ms), all: ms }
})
const all = rows.flatMap((row) => row.all)
const result = { rounds, answers: all.length, ms: median(all), longestMs: Math.max(...all) }
if (values.json === true)
  console.log(JSON.stringify({ ...result, exercises: rows.map(({ all: _all, ...row }) => row) }))
else {
  for (const { exercise, answers, ms, longestMs } of rows)
    console.log(`${exercise}  ${answers} answers  median ${ms.toFixed(1)} ms  longest ${longestMs.toFixed(1)} ms`)
  console.log(
    `median of ${result.answers} reports ${result.ms.toFixed(1)} ms, longest ${result.longestMs.toFixed(1)} ms`,
  )
}
