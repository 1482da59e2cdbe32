/**
 * How long the search for a mis-keyed byte takes: model answers of the demo course, one byte of each spoiled by chance.
 * `tsx tests/benchmarks/nearest.ts [--rounds N] [--seed N] [--json] [EXERCISE…]`. Times are this process's CPU time, so
 * that other work on the machine counts little.
 */
import { parseArgs } from 'node:util'
import { benchEight } from '../../core/board/index.ts'
import { nearestPassing } from '../../core/diagnosis/index.ts'
import { exerciseFor, modelProgram } from '../../core/exercise/index.ts'
import { gradeProgram } from '../../core/grading/index.ts'
import { imageSize, isSameImage } from '../../core/image/index.ts'
import { Random } from '../../core/run/index.ts'
import { madeProgram } from '../../core/trial/made-program.ts'
import { exerciseOf, folders } from '../core/exercise/tram-depot.ts'
import { spoiled } from '../core/diagnosis/spoiled.ts'

const { values, positionals } = parseArgs({
  options: { rounds: { type: 'string' }, seed: { type: 'string' }, json: { type: 'boolean' } },
  allowPositionals: true,
})
const rounds = Number(values.rounds ?? 3)
const seed = Number(values.seed ?? 20_261_125)
const random = new Random(seed)

interface Row {
  readonly exercise: string
  readonly bytes: number
  readonly slip: string
  readonly outcome: string
  readonly isTheSlip: boolean
  readonly tried: number
  readonly seconds: number
}

const rows: Row[] = []
const hex = (value: number, digits: number): string => value.toString(16).toUpperCase().padStart(digits, '0')

for (const folder of positionals.length > 0 ? positionals : folders) {
  // With the values of one student, those of the seed that the search takes unless told.
  const exercise = exerciseFor(exerciseOf(folder), 0)
  const model = modelProgram(exercise, benchEight)
  if (model === null || imageSize(model.image) > 64) continue
  for (let round = 0; round < rounds;) {
    const { image, slip } = spoiled(model.image, random)
    const handIn = madeProgram(image, model.entry, { origin: model.entry })
    // A byte that may have any value is no slip: another one is drawn.
    if (gradeProgram(handIn, exercise, benchEight).isFullMarks) continue
    round += 1
    const before = process.cpuUsage()
    const result = nearestPassing(handIn, exercise, benchEight)
    const used = process.cpuUsage(before)
    const row: Row = {
      exercise: folder,
      bytes: imageSize(image),
      slip: slip.kind === 'replace' ? `${hex(slip.at, 4)} ${hex(slip.found, 2)}→${hex(slip.wouldBe, 2)}` : slip.kind,
      outcome: result.outcome,
      isTheSlip: result.outcome === 'found' && isSameImage(result.repair.image, model.image),
      tried: result.tried,
      seconds: (used.user + used.system) / 1e6,
    }
    rows.push(row)
    if (values.json !== true) {
      const cells = [row.exercise, String(row.bytes).padStart(2), row.slip, row.outcome.padEnd(7)]
      console.log(...cells, `${row.seconds.toFixed(3)} s`, `${row.tried} tried`, row.isTheSlip ? 'the slip itself' : '')
    }
  }
}

const times = rows.map(({ seconds }) => seconds).sort((a, b) => a - b)
const summary = {
  seed,
  searches: rows.length,
  medianSeconds: times[times.length >> 1] ?? 0,
  worstSeconds: times.at(-1) ?? 0,
  found: rows.filter(({ outcome }) => outcome === 'found').length / rows.length,
  theSlipItself: rows.filter(({ isTheSlip }) => isTheSlip).length / rows.length,
}
if (values.json === true) console.log(JSON.stringify({ summary, rows }, null, 2))
else console.log(summary)
