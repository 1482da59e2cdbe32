import { parseArgs } from 'node:util'
import { readProgram } from '../../core/assembler/index.ts'
import { benchEight } from '../../core/board/index.ts'
import { diagnose } from '../../core/diagnosis/index.ts'
import { readOptionsFor } from '../../core/exercise/index.ts'
import { gradeProgram } from '../../core/grading/index.ts'
import { exerciseOf, folders, mistakesOf, programOf } from '../core/exercise/tram-depot.ts'
const { values, positionals } = parseArgs({ options: { verbose: { type: 'boolean' } }, allowPositionals: true })
let first = 0,
  three = 0,
  n = 0
const times: number[] = []
for (const folder of positionals.length > 0 ? positionals : folders) {
  const exercise = exerciseOf(folder)
  for (const m of mistakesOf(folder)) {
    const program = readProgram(programOf(folder, m.file), readOptionsFor(exercise, benchEight))
    const report = gradeProgram(program, exercise, benchEight)
    const before = process.cpuUsage()
    const d = diagnose(program, exercise, benchEight, report)
    const used = process.cpuUsage(before)
    const s = (used.user + used.system) / 1e6
    times.push(s)
    const at = d.causes.findIndex((c) => c.id === m.causeId)
    n++
    if (at === 0) first++
    if (at >= 0 && at < 3) three++
    console.log(
      folder,
      m.file.padEnd(32),
      (m.causeId ?? '').padEnd(24),
      at === 0 ? 'FIRST' : at < 0 ? '----' : String(at + 1).padEnd(5),
      s.toFixed(2),
      d.causes
        .map((c) => `${c.id} ${c.certainty}`)
        .slice(0, 4)
        .join(', '),
      d.repair?.kind ?? '-',
    )
    if (values.verbose) for (const c of d.causes) console.log('     ', JSON.stringify(c))
  }
}
times.sort((a, b) => a - b)
console.log({ n, first: first / n, three: three / n, median: times[times.length >> 1], worst: times.at(-1) })
