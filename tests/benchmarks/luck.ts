/**
 * What it costs to find out luck: every model answer and every other answer is graded as a student's hand-in is, and again
 * without asking whether a pass was luck; the two take turns. `luck.ts [--rounds N] [--only
 * model|wrong|right] [--json] [EXERCISE…]` prints the CPU
 * times and their ratios by exercise, and the medians over the model answers and over the wrong answers.
 */
import { parseArgs } from 'node:util'
import { benchEight } from '../../core/board/index.ts'
import type { Exercise, ProgramText } from '../../core/exercise/index.ts'
import { grade } from '../../core/grading/index.ts'
import { handedIn, otherAnswers } from '../core/exercise/other-answers.ts'
import { exerciseOf, filesOf, folders, programOf } from '../core/exercise/tram-depot.ts'
import { median } from './report.ts'

const { values, positionals } = parseArgs({
  options: { rounds: { type: 'string' }, only: { type: 'string' }, json: { type: 'boolean' } },
  allowPositionals: true,
})
const rounds = Number(values.rounds ?? 9)
const chosen = positionals.length > 0 ? positionals : folders
const seed = 7
/** CPU time that one measure should take at least, in ms. */
const long = 10

type Kind = 'model' | 'wrong' | 'right'
interface Row {
  readonly exercise: string
  readonly kind: Kind
  readonly file: string
  readonly withMs: number
  readonly withoutMs: number
  /** Median of the rounds' ratios. */
  readonly ratio: number
}

function cpuMs(times: number, work: () => void): number {
  const before = process.cpuUsage()
  for (let i = 0; i < times; i++) work()
  const { user, system } = process.cpuUsage(before)
  return (user + system) / 1000 / times
}

function measured(exercise: Exercise, program: ProgramText): Pick<Row, 'withMs' | 'withoutMs' | 'ratio'> {
  const once = (isLuckJudged: boolean) => (): void =>
    void grade(program, exercise, benchEight, { seed, isStaffAnswer: true, isLuckJudged })
  const [judging, plain] = [once(true), once(false)]
  judging()
  plain()
  const times = Math.max(1, Math.ceil(long / Math.max(0.1, cpuMs(1, plain))))
  const pairs = Array.from({ length: rounds }, (_, round) => {
    // Whoever comes second finds the caches warm.
    const first = cpuMs(times, round % 2 === 0 ? judging : plain)
    const second = cpuMs(times, round % 2 === 0 ? plain : judging)
    return round % 2 === 0 ? { withMs: first, withoutMs: second } : { withMs: second, withoutMs: first }
  })
  return {
    withMs: median(pairs.map(({ withMs }) => withMs)),
    withoutMs: median(pairs.map(({ withoutMs }) => withoutMs)),
    ratio: median(pairs.map(({ withMs, withoutMs }) => withMs / withoutMs)),
  }
}

const rows = chosen.flatMap((folder): Row[] => {
  const exercise = exerciseOf(folder)
  const own = Object.keys(filesOf(folder)).filter((file) => /^(model|other|wrong-.*)\.(asm|hex|ihx)$/.test(file))
  const kindOf = (file: string): Kind =>
    file.startsWith('model') ? 'model' : file.startsWith('wrong') ? 'wrong' : 'right'
  const answers = [
    ...own.map((file) => ({ file, kind: kindOf(file), program: programOf(folder, file, seed) })),
    ...otherAnswers(folder).map((answer) => ({
      file: answer.file,
      kind: kindOf(answer.file),
      program: handedIn(answer, exercise, seed),
    })),
  ]
  const wanted = answers.filter(({ kind }) => values.only === undefined || values.only === kind)
  return wanted.map(({ program, ...each }) => ({ exercise: folder, ...each, ...measured(exercise, program) }))
})

const ratiosOf = (some: readonly Row[]): { answers: number; median: number; highest: number } => {
  const ratios = some.map(({ ratio }) => ratio)
  return { answers: ratios.length, median: median(ratios), highest: Math.max(...ratios) }
}
const kinds: readonly Kind[] = ['model', 'wrong', 'right']
const sums = Object.fromEntries(kinds.map((kind) => [kind, ratiosOf(rows.filter((row) => row.kind === kind))]))

if (values.json === true) console.log(JSON.stringify({ seed, rounds, ...sums, rows }, null, 2))
else {
  for (const folder of chosen) {
    const own = rows.filter(({ exercise }) => exercise === folder)
    const model = own.find(({ kind }) => kind === 'model')
    const all = ratiosOf(own)
    const worst = own.find(({ ratio }) => ratio === all.highest)
    console.log(
      `${folder}  model ${model?.withMs.toFixed(1)} ms, ${model?.ratio.toFixed(2)} x  ${all.answers} answers: ` +
        `median ${all.median.toFixed(2)} x, highest ${all.highest.toFixed(2)} x (${worst?.file})`,
    )
  }
  for (const kind of kinds) {
    const { answers, median: middle, highest } = sums[kind] ?? ratiosOf([])
    console.log(`${kind}: ${answers} answers, median ${middle.toFixed(2)} x, highest ${highest.toFixed(2)} x`)
  }
}
