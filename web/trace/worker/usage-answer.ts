import { showWord } from '../../../core/image/index.ts'
import type { NamedRange } from '../../../core/run/index.ts'
import { count, tStates, whole } from '../../words/figures.ts'
import type { Answer, AnswerRow } from '../model/question.ts'
import type { Span } from '../model/span.ts'
import type { Opened } from './opened.ts'

const mostRoutines = 12
const mostLines = 12

/** T-states by routine, then by line of the program, the most first. */
export function usageAnswer(opened: Opened, span: Span | null): Answer {
  const { recording, places, program } = opened
  const steps =
    span === null
      ? undefined
      : { from: recording.stepAt(Math.floor(span.from)), to: recording.stepAt(Math.floor(span.to)) }
  const usage = recording.questions.usage(steps)
  const byName = new Map<string, { tStates: number; share: number; steps: number }>()
  for (const used of usage.inRanges(places.all)) {
    const before = byName.get(used.name) ?? { tStates: 0, share: 0, steps: 0 }
    byName.set(used.name, {
      tStates: before.tStates + used.tStates,
      share: before.share + used.share,
      steps: before.steps + used.steps,
    })
  }
  const most = <T extends { readonly tStates: number }>(rows: readonly T[]) =>
    rows.filter((row) => row.tStates > 0).toSorted((a, b) => b.tStates - a.tStates)
  const routines = most([...byName].map(([name, used]) => ({ name, ...used })))
  const lines = program.listing.flatMap((line): NamedRange[] =>
    line.kind === 'instruction' && line.address !== null
      ? [{ name: String(line.line), from: line.address, to: line.address + Math.max(0, line.bytes.length - 1) }]
      : [],
  )
  const usedLines = most(usage.inRanges(lines))
  const rows: AnswerRow[] = [
    ...routines.slice(0, mostRoutines).map((used) => ({
      key: `routine-${used.name}`,
      step: null,
      where: used.name,
      text: '',
      words: `${percent(used.share)}, ${tStates(used.tStates)}, ${count(used.steps, 'step')}`,
      isMain: used === routines[0],
    })),
    ...usedLines.slice(0, mostLines).map((used) => ({
      key: `line-${used.name}-${used.from}`,
      step: recording.questions.visits(used.from).first,
      where: `line ${used.name}, ${showWord(used.from)}`,
      text: opened.textAt(used.from),
      words: `${percent(used.share)}, ${tStates(used.tStates)}, ${count(used.steps, 'time')}`,
      isMain: false,
    })),
  ]
  const sentence = `${tStates(usage.tStates)} in ${count(usage.steps, 'step')}: routines first, then lines of the program.`
  const taken = usage.interrupts
  const foot = taken.steps === 0 ? null : `${count(taken.steps, 'interrupt')} took ${whole(taken.tStates)} T besides.`
  return { sentence, rows, foot, caseId: null }
}

function percent(share: number): string {
  return share > 0 && share < 0.001 ? '<0.1 %' : `${Math.round(share * 1000) / 10} %`
}
