import type { WhyTarget } from '../../../core/diagnosis/index.ts'
import type { CheckResult } from '../../../core/grading/index.ts'
import { byteDigits, showByte, showWord } from '../../../core/image/index.ts'
import { whole } from '../../words/figures.ts'
import { partNamed } from './lane-wish.ts'
import type { Span } from './span.ts'

/** What can be asked of an open run. `step` is where the asker stands. */
export type TraceQuestion =
  | { readonly kind: 'why'; readonly target: WhyTarget; readonly step: number; readonly most?: number }
  | { readonly kind: 'never'; readonly address: number }
  | { readonly kind: 'writers'; readonly address: number; readonly step: number }
  | { readonly kind: 'last-was'; readonly register: string; readonly value: number; readonly step: number }
  | { readonly kind: 'visits'; readonly address: number }
  /** Over a stretch of T-states, or the whole run. */
  | { readonly kind: 'usage'; readonly span: Span | null }
  | { readonly kind: 'stack-mark' }
  | { readonly kind: 'sweep-gap'; readonly span: Span | null }
  | { readonly kind: 'running-at'; readonly t: number }
  | { readonly kind: 'unwritten' }
  /** Why a check of the report failed; for those who were sent the checks. */
  | { readonly kind: 'check'; readonly check: CheckResult }

/** One step, or one place, of an answer. */
export interface AnswerRow {
  readonly key: string
  /** Where a click leads; null where the row is no step. */
  readonly step: number | null
  /** `line 12`, `PAINT + 3`. */
  readonly where: string
  /** The instruction, as an assembler reads it; empty where the row is none. */
  readonly text: string
  /** What it did, or how much of the time it took. */
  readonly words: string
  /** The one to look at first. */
  readonly isMain: boolean
}

export interface Answer {
  readonly sentence: string
  readonly rows: readonly AnswerRow[]
  /** What was left out, or how to read it. */
  readonly foot: string | null
  /** The case whose steps these are; null for the one that is open. */
  readonly caseId: string | null
}

export function questionWords(question: TraceQuestion): string {
  switch (question.kind) {
    case 'why':
      if (question.target.kind === 'time') return `Where did ${targetWords(question.target)} go?`
      if (question.target.kind === 'end') return 'Why did the run end as it did?'
      return `Why is ${targetWords(question.target)} what it is before step ${whole(question.step)}?`
    case 'never':
      return `Why did the instruction at ${showWord(question.address)} never run?`
    case 'writers':
      return `Who wrote to ${showWord(question.address)}?`
    case 'last-was': {
      const value = partNamed(question.register)?.digits === 4 ? showWord(question.value) : showByte(question.value)
      return `When was ${question.register} last ${value} before step ${whole(question.step)}?`
    }
    case 'visits':
      return `How often did the instruction at ${showWord(question.address)} run?`
    case 'usage':
      return question.span === null ? 'Who used the T-states of the run?' : 'Who used the T-states that are marked?'
    case 'stack-mark':
      return 'How deep did the stack get?'
    case 'sweep-gap':
      return 'What was the longest time between two sweeps of a digit?'
    case 'running-at':
      return `What was running at T-state ${whole(question.t)}?`
    case 'unwritten':
      return 'Which bytes were read before anything wrote them?'
    case 'check':
      return `Why was “${question.check.title}” not passed?`
  }
}

function targetWords(target: WhyTarget): string {
  switch (target.kind) {
    case 'register':
      return target.register.toUpperCase().replace('_', "'")
    case 'flag':
      return `flag ${target.flag.toUpperCase()}`
    case 'memory':
      return `the byte at ${showWord(target.address)}`
    case 'time':
      return `the time since step ${whole(target.from)}`
    case 'end':
      return 'the end of the run'
    case 'port-write':
      return target.port === null ? 'what was written to a port' : `what was written to port ${byteDigits(target.port)}`
  }
}
