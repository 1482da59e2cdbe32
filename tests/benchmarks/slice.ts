/**
 * Whether the faulty instruction of a seeded mistake is in the slice of the first check that it fails, how long the slices
 * are, and how quick: `tsx tests/benchmarks/slice.ts [--json] [--out] [EXERCISE…]` (`--out`: show the slices that miss it).
 */
import { parseArgs } from 'node:util'
import { folders } from '../core/exercise/tram-depot.ts'
import { allMistakes, sliceOfMistake, type SlicedMistake } from '../core/diagnosis/slice-of-mistake.ts'

const { values, positionals } = parseArgs({
  options: { json: { type: 'boolean' }, out: { type: 'boolean' } },
  allowPositionals: true,
})

interface Row extends Omit<SlicedMistake, 'why'> {
  readonly seconds: number
}

const rows: Row[] = []
for (const { folder, mistake } of allMistakes(positionals.length > 0 ? positionals : folders)) {
  const before = process.cpuUsage()
  const { why, ...rest } = sliceOfMistake(folder, mistake)
  const used = process.cpuUsage(before)
  const row = { ...rest, seconds: (used.user + used.system) / 1e6 }
  rows.push(row)
  if (values.json === true) continue
  const place = row.rank === null ? '' : `place ${row.rank} of ${row.length}`
  console.log(
    `${row.folder} ${row.file.padEnd(34)} ${row.outcome.padEnd(7)} ${row.check.padEnd(14)} ${row.question.padEnd(10)} ${place.padEnd(16)} ${row.seconds.toFixed(2)} s`,
  )
  if (values.out !== true || row.outcome !== 'out') continue
  console.log(`    line ${String(mistake.faultyLine)}: ${mistake.cause}`)
  console.log(`    ${why?.sentence ?? 'no answer'}`)
  if (why !== null && 'parts' in why) {
    for (const part of why.parts) console.log(`    ${part.rank}. ${part.pc.toString(16)} ${part.text} (${part.role})`)
  }
}

const median = (numbers: readonly number[]): number => numbers.toSorted((a, b) => a - b)[numbers.length >> 1] ?? 0
const asked = rows.filter(({ outcome }) => outcome === 'in' || outcome === 'out')
const inSlice = asked.filter(({ outcome }) => outcome === 'in')
const summary = {
  mistakes: rows.length,
  asked: asked.length,
  toldByTheCheck: rows.filter(({ outcome }) => outcome === 'told').length,
  withoutLine: rows.filter(({ outcome }) => outcome === 'no line').length,
  inSlice: inSlice.length / asked.length,
  inFirstQuestion: asked.filter(({ isFirst }) => isFirst === true).length / asked.length,
  medianLength: median(asked.map(({ length }) => length)),
  longest: Math.max(...asked.map(({ length }) => length)),
  medianRank: median(inSlice.map(({ rank }) => rank ?? 0)),
  inFirstThree: inSlice.filter(({ rank }) => (rank ?? 99) <= 3).length / asked.length,
  inFirstSix: inSlice.filter(({ rank }) => (rank ?? 99) <= 6).length / asked.length,
  medianSeconds: median(rows.map(({ seconds }) => seconds)),
}
console.log(values.json === true ? JSON.stringify({ summary, rows }, null, 2) : summary)
