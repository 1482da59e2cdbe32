/**
 * What the cause finder says of slips that rules make in right answers: whether the place of the first cause is that of the
 * slip, whether an edit is found that makes the hand-in pass, and what a diagnosis takes.
 * `tsx tests/benchmarks/repairs.ts [--answers others|models] [--seed N] [--each N] [--json] [EXERCISE…]`. `--each` takes only
 * every Nth answer. Near is within 3 bytes of the slip, or a line of it. Times are this process's CPU time.
 *
 * The slips of seed 30 were looked at while the search was made; any other seed draws slips that nobody has seen.
 */
import { parseArgs } from 'node:util'
import { readProgram, type Program } from '../../core/assembler/index.ts'
import { benchEight } from '../../core/board/index.ts'
import { diagnose, type Cause } from '../../core/diagnosis/index.ts'
import { exerciseFor, modelProgram, readOptionsFor } from '../../core/exercise/index.ts'
import { gradeProgram } from '../../core/grading/index.ts'
import { Random } from '../../core/run/index.ts'
import { handedIn, otherAnswers } from '../core/exercise/other-answers.ts'
import { exerciseOf, filesOf, folders, programOf } from '../core/exercise/tram-depot.ts'
import { ruleSlips, type RuleSlip } from '../core/diagnosis/repairs/rule-slips.ts'

const { values, positionals } = parseArgs({
  options: {
    answers: { type: 'string' },
    seed: { type: 'string' },
    each: { type: 'string' },
    json: { type: 'boolean' },
  },
  allowPositionals: true,
})
const seed = Number(values.seed ?? 30)
const each = Number(values.each ?? 1)

interface Row {
  readonly exercise: string
  readonly rule: string
  readonly what: string
  readonly isRepaired: boolean
  readonly isRepairNear: boolean
  readonly isFirstNear: boolean
  readonly isShownNear: boolean
  readonly isNothingTold: boolean
  readonly ms: number
}
const rows: Row[] = []

function answersOf(folder: string): readonly Program[] {
  const exercise = exerciseFor(exerciseOf(folder), 0)
  const options = readOptionsFor(exercise, benchEight)
  const model = modelProgram(exercise, benchEight)
  if (values.answers === 'models') return model === null ? [] : [model]
  const seeded = Object.keys(filesOf(folder)).filter((file) => /^other\..*asm$/.test(file))
  const others = otherAnswers(folder).filter(({ file }) => /^right-.*\.asm$/.test(file))
  return [
    ...seeded.map((file) => readProgram(programOf(folder, file), options)),
    ...others.map((answer) => readProgram(handedIn(answer, exercise, 0), options)),
  ]
}

function isNear(slip: RuleSlip, address: number | null, line: number | null): boolean {
  if (slip.line !== null && line !== null && Math.abs(slip.line - line) <= 1) return true
  return address !== null && Math.abs(slip.at - address) <= 3
}

const answers = (positionals.length > 0 ? positionals : folders)
  .flatMap((folder) => answersOf(folder).map((answer) => ({ folder, answer })))
  .filter((_, i) => i % each === 0)
for (const [i, { folder, answer }] of answers.entries()) {
  const exercise = exerciseFor(exerciseOf(folder), 0)
  for (const slip of ruleSlips(answer, exercise, new Random(seed + 1000 * i))) {
    const report = gradeProgram(slip.program, exercise, benchEight)
    const before = process.cpuUsage()
    const { causes, repair } = diagnose(slip.program, exercise, benchEight, report)
    const used = process.cpuUsage(before)
    const near = ({ address, line }: Cause): boolean => isNear(slip, address, line)
    const [first] = causes
    const row: Row = {
      ...{ exercise: folder, rule: slip.rule, what: slip.what },
      isRepaired: repair !== null,
      isRepairNear: repair !== null && isNear(slip, repair.at, repair.line),
      isFirstNear: first !== undefined && near(first),
      isShownNear: causes.slice(0, 3).some(near),
      isNothingTold: causes.length === 0,
      ms: (used.user + used.system) / 1000,
    }
    rows.push(row)
    if (values.json === true) continue
    const marks = [
      row.isRepaired ? (row.isRepairNear ? 'mended' : 'mended elsewhere') : '-',
      row.isFirstNear ? 'near' : '-',
    ]
    const told = first === undefined ? 'nothing told' : `${first.id} ${first.certainty}: ${first.found}`
    console.log(
      folder,
      slip.rule.padEnd(23),
      marks.join(' ').padEnd(22),
      row.ms.toFixed(0).padStart(6),
      slip.what,
      '|',
      told,
    )
  }
}

function summary(name: string, own: readonly Row[]): Record<string, unknown> {
  const times = own.map(({ ms }) => ms).toSorted((a, b) => a - b)
  const at = (part: number): number =>
    Math.round(times[Math.min(times.length - 1, Math.floor(part * times.length))] ?? 0)
  const count = (is: (row: Row) => boolean): number => own.filter(is).length
  return {
    set: name,
    slips: own.length,
    repaired: count(({ isRepaired }) => isRepaired),
    repairedNear: count(({ isRepairNear }) => isRepairNear),
    firstNear: count(({ isFirstNear }) => isFirstNear),
    shownNear: count(({ isShownNear }) => isShownNear),
    nothingTold: count(({ isNothingTold }) => isNothingTold),
    msMedian: at(0.5),
    ms95: at(0.95),
    msWorst: at(1),
  }
}

const byRule = [...new Set(rows.map(({ rule }) => rule))].map((rule) =>
  summary(
    rule,
    rows.filter((row) => row.rule === rule),
  ),
)
const table = [...byRule, summary('all', rows)]
if (values.json === true) console.log(JSON.stringify({ seed, table, rows }, null, 2))
else console.table(table)
