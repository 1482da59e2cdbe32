import type { Program } from '../assembler/index.ts'
import { showWord, wordDigits } from '../image/index.ts'
import { countedLoops, type CountedLoop } from './loops.ts'
import { figures, words, type Cell, type Page, type Table } from './page.ts'
import { programRows, shownTStates } from './program-rows.ts'

/** Delays asked for, in seconds: the first that a loop can make is taken. */
const delays = [1e-3, 1e-4, 1e-2, 1e-1, 1e-5, 1] as const

/** T-states of each instruction, then of each counting loop, then the count for a delay that is asked for. */
export function delayPage(program: Program, title: string, hasAnswers: boolean, clockHz: number): Page {
  const rows = programRows(program).filter(({ kind }) => kind === 'instruction')
  const loops = countedLoops(programRows(program))
  const answer = (text: string): Cell => (hasAnswers ? text : null)
  const clock = `${clockHz / 1e6} MHz`
  const counts: Table = {
    caption: 'T-states of each instruction',
    columns: [words('Address', 7), words('Label', 8), words('Instruction', 18), figures('T', 7)],
    rows: rows.map((row) => [wordDigits(row.address), row.label ?? '', row.text, answer(shownTStates(row))]),
  }
  const loopColumns = [
    words('Loop', 12),
    words('Counter', 7),
    figures('A round', 8),
    figures('Last', 8),
    figures('Rounds', 8),
  ]
  const total: Table = {
    caption: 'Counting loops',
    columns: [...loopColumns, words('All, with the load before it', 29)],
    rows: loops.map((loop) => [
      ...[`${wordDigits(loop.from)}–${wordDigits(loop.to)}`, loop.counter],
      ...[answer(`${loop.round} T`), answer(`${loop.lastRound} T`), answer(String(loop.rounds))],
      answer(
        `${loop.load.tStates} + ${loop.round}·${loop.rounds - 1} + ${loop.lastRound} = ${loop.total} T\n= ${shownTime(loop.total / clockHz)}`,
      ),
    ]),
  }
  const asked = loops.flatMap((loop) => {
    const question = questionOf(loop, clockHz)
    return question === null ? [] : [{ loop, ...question }]
  })
  const questions: Table = {
    caption: 'What must the counter be for this delay?',
    columns: [words('Loop', 12), words('Delay', 9), words('Counter', 14), words('The delay it really makes', 29)],
    rows: asked.map(({ loop, seconds, value, made }) => [
      ...[`${wordDigits(loop.from)}–${wordDigits(loop.to)}`, shownTime(seconds)],
      answer(`${value} (${showValue(value, loop)})`),
      answer(`${made} T = ${shownTime(made / clockHz)}`),
    ]),
  }
  return {
    title,
    intro: [
      hasAnswers ? 'The answers.' : `The clock is ${clock}: one T-state takes ${shownTime(1 / clockHz)}.`,
      ...(hasAnswers ? [] : ['Where an instruction has two figures, write the one for a jump taken first.']),
      ...(loops.length === 0 ? ['This program has no loop that only counts.'] : []),
    ],
    tables: loops.length === 0 ? [counts] : [counts, total, ...(asked.length === 0 ? [] : [questions])],
  }
}

/** A delay that this loop can make, and the counter that comes nearest to it. */
function questionOf(loop: CountedLoop, clockHz: number): { seconds: number; value: number; made: number } | null {
  const most = loop.counter.length === 1 ? 0x100 : 0x10000
  const fixed = loop.load.tStates + loop.lastRound - loop.round
  for (const seconds of delays) {
    const rounds = Math.round((seconds * clockHz - fixed) / loop.round)
    if (rounds >= 2 && rounds <= most && rounds !== loop.rounds)
      return { seconds, value: rounds === most ? 0 : rounds, made: fixed + loop.round * rounds }
  }
  return null
}

function showValue(value: number, { counter }: CountedLoop): string {
  return counter.length === 1 ? showWord(value).slice(2) : showWord(value)
}

/** Seconds in the unit that suits them, to four figures: `26.8 µs`, `500 ms`. */
function shownTime(seconds: number): string {
  const [scale, unit] = seconds < 1e-3 ? [1e6, 'µs'] : seconds < 1 ? [1e3, 'ms'] : [1, 's']
  return `${Number((seconds * scale).toPrecision(6))} ${unit}`
}
