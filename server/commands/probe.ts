import { stringify } from 'yaml'
import {
  probe,
  type MutantCount,
  type ProbeResult,
  type StrategyResult,
  type Suggestion,
  type Survivor,
  type SurvivingStrategy,
} from '../../core/diagnosis/index.ts'
import { readExercise, warningLines } from './exercise-file.ts'
import { readCount } from './input.ts'
import { CommandProblem, hex, printJson } from './output.ts'

export interface ProbeCommandOptions {
  readonly json?: boolean
  readonly seed?: string
  readonly most?: string
}

/** Percent of mutants that checks must catch. */
const goodScore = 98

/**
 * `hexcairn probe`: 0 when the checks catch 98 % of the mutants or more and no strategy that is surely wrong gets full marks,
 * else 1; 2 when the exercise cannot be probed.
 */
export function probeCommand(named: string, options: ProbeCommandOptions): number {
  const read = readExercise(named)
  const { exercise, profile } = read
  const seed = options.seed === undefined ? 0 : readCount(options.seed, '--seed', 0, 0xffffffff)
  const most = options.most === undefined ? {} : { most: readCount(options.most, '--most', 1, 1_000_000) }
  const result = probe(exercise, profile, { seed, ...most, onProgress: progressLine(options.json === true) })
  if (result === null)
    throw new CommandProblem(
      'no-model-answer',
      `${exercise.id} has no model answer that gets full marks; a probe changes one and looks which checks notice.`,
    )
  if (options.json === true) printJson({ ...result, warnings: read.warnings() })
  else process.stdout.write(probeText(result, warningLines(read)))
  return result.score >= goodScore && result.strategies.total.survived === 0 ? 0 : 1
}

/** Shows how far it has come once it takes longer than a second, where somebody is watching. */
function progressLine(isQuiet: boolean): (progress: { done: number; total: number }) => void {
  const start = Date.now()
  let shown = start
  return ({ done, total }) => {
    const now = Date.now()
    const isTurn = now - start > 1000 && now - shown > 200
    if (isQuiet || !process.stderr.isTTY || !(isTurn || (done === total - 1 && shown !== start))) return
    shown = now
    const isLast = done === total - 1
    process.stderr.write(isLast ? '\r\x1b[K' : `\r${done} of ${total} wrong programs`)
  }
}

function probeText(result: ProbeResult, warnings: readonly string[]): string {
  const { exercise, total, made, kinds, checks, survivors } = result
  const changing = total.caught + total.survived
  const sample = result.isSampled ? `, a sample of ${made} drawn with seed ${result.seed}` : ''
  const lines = [
    `${exercise.id} ${exercise.title}: ${result.score} % of mistakes caught`,
    `${total.tried} mutants of the model answer${sample}; ${total.same} did the same and are no mistakes; ` +
      `of the other ${changing} the checks caught ${total.caught}.`,
    ...(result.isStopped ? ['Stopped before all were tried.'] : []),
    '',
    ...table(['changed', 'tried', 'same', 'caught', 'survived'], kinds.filter(({ tried }) => tried > 0).map(kindCells)),
    '',
    ...table(
      ['check', 'kind', 'tried', 'caught', 'survived', 'alone'],
      checks.map(({ id, kind, tried, caught, survived, alone }) => [id, kind, tried, caught, survived, alone]),
    ),
    ...(survivors.length === 0 ? [] : ['', 'Survivors, and the check that would find each:']),
    ...survivors.flatMap(survivorLines),
    '',
    ...warnings,
    ...strategyLines(result.strategies),
  ]
  return lines.map((line) => `${line}\n`).join('')
}

function kindCells({ kind, tried, same, caught, survived }: MutantCount & { readonly kind: string }): Cell[] {
  return [kind, tried, same, caught, survived]
}

function survivorLines({ at, found, wouldBe, suggestion }: Survivor): string[] {
  return [`  ${hex(at, 4)}  ${found} -> ${wouldBe ?? 'left out'}`, ...adviceLines(suggestion)]
}

/** The case and the check that would find it, as they stand in a document. */
function adviceLines({ check, words, caseId, plainCase }: Suggestion): string[] {
  const line = (name: string, value: unknown): string =>
    `      ${name}: - ${stringify(value, { collectionStyle: 'flow', lineWidth: 0 }).trim()}`
  return [
    `      ${words}`,
    ...(plainCase === null ? [] : [line('cases', plainCase)]),
    ...(check === null ? [] : [line('checks', { ...check, cases: [caseId] })]),
  ]
}

function strategyLines({ total, made, inputs, edits, kinds, survivors }: StrategyResult): string[] {
  const tried = `${total.tried} whole wrong answers tried${total.untried === 0 ? '' : ` of ${made}`}`
  const untried = kinds.filter((row) => row.untried > 0).map((row) => `${row.kind} ${row.untried}`)
  const sure = survivors.filter(({ isSure }) => isSure)
  const asked = survivors.filter(({ isSure }) => !isSure)
  return [
    `Strategies: ${tried}, on the cases and ${inputs} other inputs: ${total.caught} caught, ${total.survived} survived, ` +
      `${total.asked} to ask about, ${total.same} did the same.`,
    ...(untried.length === 0 ? [] : [`Not tried, or not on every input, for want of time: ${untried.join(', ')}.`]),
    ...(edits.untried === 0
      ? []
      : [
          `${edits.untried} mutants that do the same on your cases were not compared on the other inputs, for want of time.`,
        ]),
    '',
    ...table(
      ['strategy', 'tried', 'same', 'caught', 'survived', 'ask'],
      kinds.map((row) => [row.kind, row.tried, row.same, row.caught, row.survived, row.asked]),
    ),
    ...(sure.length === 0 ? [] : ['', 'Wrong, and full marks:']),
    ...sure.flatMap((each) => strategyLine(each, 'still gets full marks')),
    ...(asked.length === 0
      ? []
      : ['', 'Full marks, and wrong only where no case of yours looks. Does the task allow it?']),
    ...asked.flatMap((each) => strategyLine(each, 'gets full marks')),
  ]
}

/** Details of strategies told alike that are written out. */
const mostDetails = 6

function strategyLine({ words, details, count, suggestion }: SurvivingStrategy, verdict: string): string[] {
  const some = details.slice(0, mostDetails).join(', ')
  const more = count > mostDetails ? ` and ${count - mostDetails} more` : ''
  return [`  ${words}${some === '' ? '' : ` (${some}${more})`} ${verdict}.`, ...adviceLines(suggestion)]
}

type Cell = string | number

/** Columns of text to the left, of figures to the right. */
function table(head: readonly string[], rows: readonly (readonly Cell[])[]): string[] {
  const widths = head.map((title, i) => Math.max(title.length, ...rows.map((row) => String(row[i] ?? '').length)))
  const isFigure = head.map((_, i) => rows.every((row) => typeof row[i] === 'number'))
  const line = (cells: readonly Cell[]): string =>
    cells
      .map((cell, i) =>
        isFigure[i] === true ? String(cell).padStart(widths[i] ?? 0) : String(cell).padEnd(widths[i] ?? 0),
      )
      .join('  ')
      .trimEnd()
  return [line(head), ...rows.map(line)]
}
