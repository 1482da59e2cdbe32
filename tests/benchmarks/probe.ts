/**
 * What the checks of the demo course catch, and how long finding out takes.
 * `tsx tests/benchmarks/probe.ts [--seed N] [--most N] [--json] [EXERCISE…]`. Times are this process's CPU time.
 */
import { parseArgs } from 'node:util'
import { benchEight } from '../../core/board/index.ts'
import { probe } from '../../core/diagnosis/index.ts'
import { exerciseOf, folders } from '../core/exercise/tram-depot.ts'

const { values, positionals } = parseArgs({
  options: { seed: { type: 'string' }, most: { type: 'string' }, json: { type: 'boolean' } },
  allowPositionals: true,
})
const seed = Number(values.seed ?? 0)
const most = values.most === undefined ? {} : { most: Number(values.most) }

const rows = (positionals.length > 0 ? positionals : folders).flatMap((folder) => {
  const before = process.cpuUsage()
  const result = probe(exerciseOf(folder), benchEight, { seed, ...most })
  const used = process.cpuUsage(before)
  if (result === null) return []
  const { made, score, total, survivors, strategies } = result
  const whole = { ...strategies.total, inputs: strategies.inputs, edits: strategies.edits }
  const row = { exercise: folder, made, ...total, score, strategies: whole, seconds: (used.user + used.system) / 1e6 }
  if (values.json !== true) {
    console.log(JSON.stringify(row))
    for (const { at, found, wouldBe, suggestion } of survivors) {
      console.log('   ', at.toString(16), found, '->', wouldBe, '|', suggestion.words, JSON.stringify(suggestion.check))
    }
    for (const { isSure, words, details, suggestion } of strategies.survivors) {
      console.log('   ', isSure ? 'full marks:' : 'ask:', words, details.slice(0, 3).join(', '), '|', suggestion.words)
      console.log('        ', JSON.stringify(suggestion.plainCase), JSON.stringify(suggestion.check))
    }
  }
  return [row]
})

const caught = rows.reduce((sum, row) => sum + row.caught, 0)
const changing = rows.reduce((sum, row) => sum + row.caught + row.survived, 0)
const summary = {
  seed,
  exercises: rows.length,
  score: Math.floor((10_000 * caught) / changing) / 100,
  lowestScore: Math.min(...rows.map(({ score }) => score)),
  strategies: rows.reduce((sum, row) => sum + row.strategies.tried, 0),
  strategiesSurvived: rows.reduce((sum, row) => sum + row.strategies.survived, 0),
  strategiesUntried: rows.reduce((sum, row) => sum + row.strategies.untried + row.strategies.edits.untried, 0),
  strategiesAsked: rows.reduce((sum, row) => sum + row.strategies.asked, 0),
  longestSeconds: Math.max(...rows.map(({ seconds }) => seconds)),
}
console.log(values.json === true ? JSON.stringify({ summary, rows }, null, 2) : summary)
