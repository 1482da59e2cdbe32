/**
 * Whether the faulty instruction of a seeded mistake is in the answer to the first question that its first failed check
 * raises, how long the slices are, and how quick: `tsx tests/benchmarks/slice.ts [--json] [--out] [EXERCISE…]` (`--out`:
 * show the slices that miss it).
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

const percent = (share: number): string => `${Math.round(share * 100)} %`

const rows: Row[] = []
for (const { folder, mistake } of allMistakes(positionals.length > 0 ? positionals : folders)) {
  const before = process.cpuUsage()
  const { why, ...rest } = sliceOfMistake(folder, mistake)
  const used = process.cpuUsage(before)
  const row = { ...rest, seconds: (used.user + used.system) / 1e6 }
  rows.push(row)
  if (values.json === true) continue
  const { file, outcome, check, question, place, rank, length, share, isInSecond, seconds } = row
  const at = rank === null ? (isInSecond ? 'in the second' : '') : `${rank} of ${length}`
  console.log(
    `${folder} ${file.padEnd(34)} ${outcome.padEnd(4)} ${check.padEnd(14)} ${question.padEnd(10)} ${place.padEnd(8)} ${at.padEnd(13)} ${percent(share).padStart(5)} ${seconds.toFixed(2)} s`,
  )
  if (values.out !== true || outcome !== 'out') continue
  console.log(`    line ${String(mistake.faultyLine)}: ${mistake.cause}`)
  console.log(`    ${why?.sentence ?? 'no answer'}`)
  if (why !== null && 'parts' in why) {
    for (const part of why.parts) console.log(`    ${part.rank}. ${part.pc.toString(16)} ${part.text} (${part.role})`)
  }
}

const median = (numbers: readonly number[]): number => numbers.toSorted((a, b) => a - b)[numbers.length >> 1] ?? 0
const asked = rows.filter(({ outcome }) => outcome === 'in' || outcome === 'out')
const inSlice = asked.filter(({ outcome }) => outcome === 'in')
const shareOf = (some: readonly Row[], of: readonly Row[]): string =>
  `${some.length} of ${of.length}, ${((100 * some.length) / of.length).toFixed(1)} %`
const leftOut = asked.filter(({ place }) => place === 'left-out')
const summary = {
  mistakes: rows.length,
  toldByTheCheck: rows.filter(({ outcome }) => outcome === 'told').length,
  withoutLine: rows.filter(({ outcome }) => outcome === 'no line').length,
  inSlice: shareOf(inSlice, asked),
  leftOutInSlice: shareOf(
    inSlice.filter(({ place }) => place === 'left-out'),
    leftOut,
  ),
  seedsOwnLineTold: shareOf(
    asked.filter(({ isLineTold }) => isLineTold),
    asked,
  ),
  inFirstOrSecond: shareOf(
    asked.filter(({ outcome, isInSecond }) => outcome === 'in' || isInSecond),
    asked,
  ),
  medianLength: median(asked.map(({ length }) => length)),
  longest: Math.max(...asked.map(({ length }) => length)),
  medianShareOfExecuted: percent(median(asked.map(({ share }) => share))),
  medianRank: median(inSlice.map(({ rank }) => rank ?? 0)),
  inFirstThree: shareOf(
    inSlice.filter(({ rank }) => (rank ?? 99) <= 3),
    asked,
  ),
  inFirstSix: shareOf(
    inSlice.filter(({ rank }) => (rank ?? 99) <= 6),
    asked,
  ),
  medianSeconds: median(rows.map(({ seconds }) => seconds)),
  seconds: rows.reduce((sum, { seconds }) => sum + seconds, 0),
}
console.log(values.json === true ? JSON.stringify({ summary, rows }, null, 2) : summary)
