/**
 * How often the right cause is named: the seeded mistakes of the demo course, and slips made by rules in its model answers.
 * `tsx tests/benchmarks/causes.ts [--set seeded|slips] [--seed N] [--json] [EXERCISE…]`. Prints every case, the confusion
 * table (expected cause, what was found first) and the shares. Times are this process's CPU time.
 *
 * What the figures are worth: the weights of the signs were set on the seeded mistakes, so their share says how well the
 * table fits them. The slips of seed 20261125 were looked at when detectors were mended, and a few weights (`wrong-data`,
 * `displacement-from-opcode`) were set on them. Slips of any other seed have been seen by nobody: `--set slips --seed N` is
 * the honest share.
 */
import { parseArgs } from 'node:util'
import { readProgram, type Program } from '../../core/assembler/index.ts'
import { benchEight } from '../../core/board/index.ts'
import { exerciseFor, modelProgram, readOptionsFor, type Exercise } from '../../core/exercise/index.ts'
import { exerciseOf, filesOf, folders, mistakesOf, programOf } from '../core/exercise/tram-depot.ts'
import { findFor, sharesOf, type Found } from '../core/diagnosis/causes/shares.ts'
import { slipsOf } from '../core/diagnosis/causes/slips.ts'

const { values, positionals } = parseArgs({
  options: { set: { type: 'string' }, seed: { type: 'string' }, json: { type: 'boolean' } },
  allowPositionals: true,
})
/** The seed whose slips were looked at. */
const seenSeed = 20_261_125
const seed = Number(values.seed ?? seenSeed)
const chosen = positionals.length > 0 ? positionals : folders

interface Row extends Found {
  readonly set: 'seeded' | 'slips'
  readonly exercise: string
  readonly what: string
  readonly seconds: number
}
const rows: Row[] = []

function look(
  set: Row['set'],
  folder: string,
  what: string,
  program: Program,
  exercise: Exercise,
  expected: string,
): void {
  const before = process.cpuUsage()
  const found = findFor(program, exercise, expected)
  const used = process.cpuUsage(before)
  const row = { ...found, set, exercise: folder, what, seconds: (used.user + used.system) / 1e6 }
  rows.push(row)
  if (values.json === true) return
  const place = row.place === 0 ? 'first' : row.place < 0 ? '-' : String(row.place + 1)
  const others = row.causes.slice(0, 3).map(({ id, certainty }) => `${id} ${certainty}`)
  console.log(folder, expected.padEnd(26), place.padEnd(6), row.seconds.toFixed(2), what.padEnd(34), others.join(', '))
}

let shownOnPassing = 0
let passing = 0
for (const folder of chosen) {
  // With the values of one student, those of the seed that grading takes unless told.
  const exercise = exerciseFor(exerciseOf(folder), 0)
  const options = readOptionsFor(exercise, benchEight)
  if (values.set !== 'slips') {
    for (const { file, causeId } of mistakesOf(folder)) {
      look('seeded', folder, file, readProgram(programOf(folder, file), options), exercise, causeId)
    }
  }
  if (values.set !== 'seeded') {
    for (const { what, program, causeId } of slipsOf(exercise, seed))
      look('slips', folder, what, program, exercise, causeId)
  }
  const answers = Object.keys(filesOf(folder)).filter((file) => file.startsWith('other.'))
  const right = [
    modelProgram(exercise, benchEight),
    ...answers.map((file) => readProgram(programOf(folder, file), options)),
  ]
  for (const program of right) {
    if (program === null) continue
    passing += 1
    shownOnPassing += findFor(program, exercise, '').causes.length
  }
}

function summary(set: Row['set']): Record<string, unknown> {
  const own = rows.filter((row) => row.set === set)
  const times = own.map(({ seconds }) => seconds).sort((a, b) => a - b)
  return {
    set,
    wasLookedAt: set === 'seeded' || seed === seenSeed,
    handIns: own.length,
    ...sharesOf(own),
    medianSeconds: times[times.length >> 1],
    worstSeconds: times.at(-1),
  }
}

/** Expected cause against the one found first, where they differ. */
function confusion(): Record<string, string> {
  const table = new Map<string, Map<string, number>>()
  for (const { expected, causes } of rows) {
    const row = table.get(expected) ?? new Map<string, number>()
    const found = causes[0]?.id ?? 'none'
    table.set(expected, row.set(found, (row.get(found) ?? 0) + 1))
  }
  const line = (found: ReadonlyMap<string, number>): string =>
    [...found]
      .sort((a, b) => b[1] - a[1])
      .map(([id, count]) => `${count} ${id}`)
      .join(', ')
  return Object.fromEntries([...table].sort().map(([expected, found]) => [expected, line(found)]))
}

const sets = (['seeded', 'slips'] as const).filter((set) => rows.some((row) => row.set === set)).map(summary)
const result = { seed, sets, onPassing: { answers: passing, causesShown: shownOnPassing }, confusion: confusion() }
if (values.json === true) console.log(JSON.stringify({ ...result, rows }, null, 2))
else console.log(JSON.stringify(result, null, 2))
