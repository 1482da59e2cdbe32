/**
 * How good the checks are that are proposed from a model answer: whether the model and the second answer pass them, how many
 * seeded mistakes fail, and the probe's score. `tsx tests/benchmarks/proposal.ts [--no-probe] [--json] [EXERCISE…]`.
 */
import { parseArgs } from 'node:util'
import { benchEight } from '../../core/board/index.ts'
import { probe } from '../../core/diagnosis/index.ts'
import { filesOf, folders, mistakesOf } from '../core/exercise/tram-depot.ts'
import { drafted, reportWith } from '../core/diagnosis/drafted.ts'

const { values, positionals } = parseArgs({
  options: { json: { type: 'boolean' }, 'no-probe': { type: 'boolean' }, checks: { type: 'boolean' } },
  allowPositionals: true,
})
const rows: {
  folder: string
  checks: number
  model: number | null
  other: number | null
  lost: string
  mistakes: number
  caught: number
  score: number | null
  seconds: number
}[] = []

for (const folder of positionals.length > 0 ? positionals : folders) {
  const before = process.cpuUsage()
  const draft = drafted(folder)
  const used = process.cpuUsage(before)
  const files = Object.keys(filesOf(folder))
  const scoreOf = (prefix: string) => reportWith(draft, folder, files.find((name) => name.startsWith(prefix)) ?? '')
  const other = scoreOf('other.')
  const mistakes = mistakesOf(folder).map(({ file }) => reportWith(draft, folder, file))
  const probed = draft.exercise === null || values['no-probe'] === true ? null : probe(draft.exercise, benchEight)
  const row = {
    folder,
    checks: draft.proposals.filter(({ isChosen }) => isChosen).length,
    model: scoreOf('model.')?.score ?? null,
    other: other?.score ?? null,
    lost: (other?.checks ?? [])
      .filter(({ outcome }) => outcome !== 'passed')
      .map(({ id }) => id)
      .join(' '),
    mistakes: mistakes.length,
    caught: mistakes.filter((report) => report !== null && report.score < 100).length,
    score: probed?.score ?? null,
    seconds: (used.user + used.system) / 1e6,
  }
  rows.push(row)
  if (values.json === true) continue
  console.log(
    `${row.folder} ${String(row.checks).padStart(2)} checks, model ${row.model}, other ${row.other} ${row.lost}; mistakes ${row.caught} of ${row.mistakes}; probe ${row.score ?? '-'}; ${row.seconds.toFixed(1)} s`,
  )
  for (const { message } of draft.problems) console.log(`   ${message}`)
  if (values.checks === true)
    for (const { check, isChosen } of draft.proposals) console.log(isChosen ? '  +' : '  -', JSON.stringify(check))
}

const scores = rows.flatMap(({ score }) => (score === null ? [] : [score])).sort((a, b) => a - b)
const summary = {
  exercises: rows.length,
  modelPasses: rows.filter(({ model }) => model === 100).length,
  otherPasses: rows.filter(({ other }) => other === 100).length,
  mistakesCaught:
    rows.reduce((sum, { caught }) => sum + caught, 0) / rows.reduce((sum, { mistakes }) => sum + mistakes, 0),
  medianProbe: scores[scores.length >> 1] ?? null,
  lowestProbe: scores[0] ?? null,
  probeAbove95: scores.filter((score) => score >= 95).length,
}
console.log(values.json === true ? JSON.stringify({ summary, rows }, null, 2) : summary)
