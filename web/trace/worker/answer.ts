import {
  type Why,
  type WhyFact,
  type WhyNever,
  type WhyPart,
  type WhySource,
  whyFailed,
  whyNever,
  whyValue,
} from '../../../core/diagnosis/index.ts'
import type { Exercise } from '../../../core/exercise/index.ts'
import type { CheckResult } from '../../../core/grading/index.ts'
import { byteDigits, showByte, showWord } from '../../../core/image/index.ts'
import type { RegisterName, TraceStep } from '../../../core/run/index.ts'
import { count, duration, tStates, whole } from '../../words/figures.ts'
import { partNamed } from '../model/lane-wish.ts'
import type { Answer, AnswerRow, TraceQuestion } from '../model/question.ts'
import type { Span } from '../model/span.ts'
import type { Opened } from './opened.ts'
import { usageAnswer } from './usage-answer.ts'

/** Rows of an answer at most; what is left out is said. */
const most = 40

export function answer(opened: Opened, question: TraceQuestion): Answer {
  const { recording, request } = opened
  const { questions } = recording
  switch (question.kind) {
    case 'why':
      return whyAnswer(
        opened,
        whyValue(recording, request, question.target, question.step, { most: question.most ?? most }),
      )
    case 'never':
      return neverAnswer(opened, whyNever(recording, request, question.address))
    case 'writers':
      return writersAnswer(opened, question.address, question.step)
    case 'last-was': {
      const name = (partNamed(question.register)?.name ?? question.register).toLowerCase() as RegisterName
      const step = questions.lastTimeRegisterWas(name, question.value, question.step)
      if (step === null) return plain(`Never before step ${whole(question.step)}.`)
      return {
        sentence: `Last before step ${whole(step)}.`,
        rows: [rowOf(opened, step, 'runs next', true)],
        foot: null,
        caseId: null,
      }
    }
    case 'visits':
      return visitsAnswer(opened, question.address)
    case 'usage':
      return usageAnswer(opened, question.span)
    case 'stack-mark': {
      const mark = questions.highestStackMark()
      const rows = mark.by === null ? [] : [rowOf(opened, mark.by, 'brought it there', true)]
      return {
        sentence: `${count(mark.depth, 'byte')}: SP was ${showWord(mark.sp)} at the lowest.`,
        rows,
        foot: null,
        caseId: null,
      }
    }
    case 'sweep-gap':
      return gapAnswer(opened, question.span)
    case 'running-at': {
      const found = questions.instructionAt(question.t)
      if (found === null) return plain('Nothing ran at all.')
      const words = `from ${tStates(found.t)}, for ${tStates(found.tStates)}`
      return { sentence: 'This was running.', rows: [rowOf(opened, found.step, words, true)], foot: null, caseId: null }
    }
    case 'unwritten':
      return unwrittenAnswer(opened)
    case 'check':
      return checkAnswer(opened, question.check)
  }
}

export function whyAnswer(opened: Opened, why: Why): Answer {
  const rows = why.parts.map((part) => partRow(opened, part))
  const sources = why.sources.map(
    ({ kind, what, value, moved }) =>
      `${what} = ${shown(value)} ${kind === 'given' ? 'stood there at the start' : `came in${movedWords(moved)}`}`,
  )
  const foot = [...sources, ...(why.isCut ? ['there are more, further back'] : [])].join('; ')
  return { sentence: why.sentence, rows, foot: foot === '' ? null : `${foot}.`, caseId: null }
}

function movedWords(moved: WhySource['moved']): string {
  if (moved === undefined) return ''
  const at = `at ${tStates(moved.t)}`
  return moved.kind === 'switches'
    ? `, as the switches stood since they were moved ${at}`
    : `; key ${moved.key} went ${moved.isDown ? 'down' : 'up'} ${at}`
}

export function neverAnswer(opened: Opened, never: WhyNever): Answer {
  const { turn, ranAt, sentence } = never
  if (ranAt !== null)
    return { sentence, rows: [rowOf(opened, ranAt, 'ran here first', true)], foot: null, caseId: null }
  if (turn === null) return plain(sentence)
  const row: AnswerRow = {
    key: `${turn.step}`,
    step: turn.step,
    where: opened.whereIs(turn.pc),
    text: turn.text,
    words: `turned away to ${showWord(turn.went)}${turn.times > 1 ? `, ${count(turn.times, 'time')}` : ''}: ${facts(turn.read)}`,
    isMain: true,
  }
  return {
    sentence,
    rows: [row, ...(turn.setBy === null ? [] : [partRow(opened, turn.setBy)])],
    foot: null,
    caseId: null,
  }
}

function checkAnswer(opened: Opened, check: CheckResult): Answer {
  const { subject, program } = opened
  // Only staff ask this: they were sent the document with its checks.
  const exercise = subject.exercise as Exercise
  const found = whyFailed(check, { exercise, profile: subject.board, program, seed: subject.seed })
  if (found === null) return plain(`Nothing in the run made it: ${check.message}`)
  const { caseId } = found.question
  // The steps are those of another run where the check looked at another case.
  if ('address' in found.why) return { ...neverAnswer(opened, found.why), caseId }
  return { ...whyAnswer(opened, found.why), caseId }
}

function partRow(opened: Opened, part: WhyPart): AnswerRow {
  const did =
    part.role === 'decided'
      ? part.read.length === 0
        ? 'led here'
        : `decided: ${facts(part.read)}`
      : `${facts(part.wrote)} ${from(part.read)}`.trim()
  const often = part.times > 1 ? `; ${whole(part.times)} times since step ${whole(part.firstStep)}` : ''
  return {
    key: `${part.step}-${part.pc}`,
    step: part.step,
    where: opened.whereIs(part.pc),
    text: part.text,
    words: `${did}${often}`,
    isMain: part.rank === 1,
  }
}

function from(read: readonly WhyFact[]): string {
  return read.length === 0 ? '' : `from ${facts(read)}`
}

function facts(all: readonly WhyFact[]): string {
  return all.map(({ what, value, bits }) => `${what} = ${bits === 1 ? value : shown(value, bits)}`).join(', ')
}

function shown(value: number, bits = value > 0xff ? 16 : 8): string {
  return bits === 16 ? showWord(value) : showByte(value)
}

function writersAnswer(opened: Opened, address: number, before: number): Answer {
  const { questions } = opened.recording
  const last = questions.lastWriter(address, before)
  const all = questions.writers(address)
  const value = byteDigits(opened.recording.at(before).memory[address] ?? 0)
  const sentence =
    last === null
      ? `Nobody before step ${whole(before)}: ${value}h stands there since the start.`
      : `The last before step ${whole(before)} wrote ${showByte(last.value)} over ${showByte(last.before)}.`
  const rows = all.slice(0, most).map((writer): AnswerRow => {
    const words = `${count(writer.count, 'time')}, last ${showByte(writer.last.value)}`
    return { ...rowOf(opened, writer.last.step, words, writer.pc === last?.pc), key: `writer-${writer.pc}` }
  })
  if (last !== null && !all.some((writer) => writer.last.step === last.step))
    rows.unshift(rowOf(opened, last.step, `wrote ${showByte(last.value)} here last`, true))
  return { sentence, rows, foot: leftOut(all.length - most), caseId: null }
}

function visitsAnswer(opened: Opened, address: number): Answer {
  const { questions, result } = opened.recording
  const { count: times, first, last, tStates: spent } = questions.visits(address)
  if (first === null || last === null) return plain('Never.')
  const share = ((100 * spent) / Math.max(1, result.tStates)).toPrecision(2)
  const sentence = `${count(times, 'time')}, ${tStates(spent)} in all, ${Number(share)} % of the run.`
  const steps = questions.visitSteps(address, 0, most)
  const rows = steps.map((step) => rowOf(opened, step, step === first ? 'first' : step === last ? 'last' : '', false))
  if (!steps.includes(last)) rows.push(rowOf(opened, last, 'last', false))
  return { sentence, rows, foot: leftOut(times - rows.length), caseId: null }
}

function gapAnswer(opened: Opened, span: Span | null): Answer {
  const gap = opened.recording.questions.longestSweepGap(span ?? {})
  if (gap === null) return plain('No digit was lit twice.')
  const { clockHz } = opened.board
  const sentence = `${duration(gap.tStates, clockHz)} (${tStates(gap.tStates)}) of darkness on digit ${gap.digit + 1}, from ${tStates(gap.from)} on.`
  const meanwhile = gap.ranMeanwhile.slice(0, 8).map((used): AnswerRow => ({
    key: `meanwhile-${used.address}`,
    step: null,
    where: opened.whereIs(used.address),
    text: opened.textAt(used.address),
    words: `${tStates(used.tStates)} of it, ${count(used.steps, 'time')}`,
    isMain: false,
  }))
  const ends = [
    rowOf(opened, gap.steps.from, 'it goes dark', true),
    ...meanwhile,
    rowOf(opened, gap.steps.to, 'it is lit again', true),
  ]
  const foot = meanwhile.length === 0 ? null : 'Between the two: what ran meanwhile.'
  return { sentence, rows: ends, foot, caseId: null }
}

function unwrittenAnswer(opened: Opened): Answer {
  const all = opened.recording.questions.allReadBeforeWritten()
  const byChance = all.filter((read) => !read.isGiven)
  const rows = byChance
    .slice(0, most)
    .map((read) => rowOf(opened, read.step, `read ${showByte(read.value)} from ${showWord(read.address)}`, false))
  const sentence =
    byChance.length === 0
      ? 'None: everything that was read had been written, or was given.'
      : `${count(byChance.length, 'byte')} held what chance had left there.`
  return { sentence, rows, foot: leftOut(byChance.length - most), caseId: null }
}

/** A step as a row of an answer. */
export function rowOf(opened: Opened, step: number, words: string, isMain: boolean): AnswerRow {
  const found: TraceStep | undefined = opened.recording.steps(step, step + 1)[0]
  const where = found === undefined ? 'the end of the run' : opened.whereIs(found.pc)
  return { key: `${step}-${words}`, step, where, text: found === undefined ? '' : opened.textOf(found), words, isMain }
}

function leftOut(left: number): string | null {
  return left > 0 ? `${whole(left)} more are left out.` : null
}

function plain(sentence: string): Answer {
  return { sentence, rows: [], foot: null, caseId: null }
}
