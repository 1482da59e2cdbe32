/**
 * What one wrong instruction or byte costs: model answers with a single slip are graded, and those that get less than half
 * are listed with what was wrong. `tsx tests/benchmarks/slips.ts [--most N] [--seed N] [--all] [--json] [EXERCISE…]`.
 * `--all` lists every slip with its marks. A slip that gets full marks is no mistake and not counted.
 */
import { parseArgs } from 'node:util'
import { exerciseOf, folders } from '../core/exercise/tram-depot.ts'
import { drawnSlips, gradedSlip, slipsOf } from '../core/grading/slips.ts'

const { values, positionals } = parseArgs({
  options: {
    most: { type: 'string' },
    seed: { type: 'string' },
    all: { type: 'boolean' },
    json: { type: 'boolean' },
  },
  allowPositionals: true,
})
const seed = Number(values.seed ?? 0)
const most = Number(values.most ?? 200)

const median = (sorted: readonly number[]): number => sorted[sorted.length >> 1] ?? 0
const percent = (part: number, of: number): number => (of === 0 ? 0 : Math.round((1000 * part) / of) / 10)

const rows = (positionals.length > 0 ? positionals : folders).map((folder) => {
  const exercise = exerciseOf(folder)
  const before = process.cpuUsage()
  const slips = slipsOf(exercise)
  const graded = drawnSlips(slips, most, seed).flatMap((slip) => gradedSlip(exercise, slip) ?? [])
  const { user, system } = process.cpuUsage(before)
  const low = graded.filter(({ score }) => score < 50).toSorted((a, b) => a.score - b.score)
  const ended = graded.filter(({ end }) => end === 'halted' || end === 'returned')
  const row = {
    exercise: folder,
    made: slips.length,
    mistakes: graded.length,
    belowHalf: percent(low.length, graded.length),
    // Of those that come to their end on the first case: the others crash or run for ever.
    belowHalfOfEnding: percent(ended.filter(({ score }) => score < 50).length, ended.length),
    lowest: low[0]?.score ?? null,
    median: median(graded.map(({ score }) => score).toSorted((a, b) => a - b)),
    seconds: Math.round((user + system) / 1e5) / 10,
  }
  if (values.json !== true) {
    console.log(JSON.stringify(row))
    for (const { slip, score, end } of values.all === true ? graded : low)
      console.log('   ', score, end, slip.kind, slip.words)
  }
  return { ...row, low: low.map(({ slip, score, end }) => ({ score, end, kind: slip.kind, words: slip.words })) }
})
if (values.json === true) console.log(JSON.stringify({ seed, most, rows }, null, 2))
