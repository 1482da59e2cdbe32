import type { Byte, TState } from '../../cpu/index.ts'
import type { DocumentProblem, Exercise, ProgramText } from '../../exercise/index.ts'
import type { AwaitedInput } from './awaited-inputs.ts'
import type { Ending } from './ending.ts'

/** Plain data as a document holds it. */
export type Plain = string | number | boolean | null | readonly Plain[] | { readonly [key: string]: Plain }

/** What an author has written so far. Everything but title, task and model answer is as in a document, and may be left out. */
export interface ExerciseDraft {
  readonly title: string
  /** The task, for the student. Registers, instructions and routines named in it are asked for. */
  readonly brief: string
  readonly model: ProgramText
  /** A short name; made from the title unless given. */
  readonly id?: string
  /** Other fields of the document: `program`, `given`, `cases`, `budget`, `constants`, `cautions` and so on. */
  readonly fields?: Readonly<Record<string, unknown>>
  /**
   * `ends` (unless given): with HALT or RET, as `program` says. `runs-on`: until the power goes; checks look at what is seen
   * and heard in its first `lasts`. `sheet`: it is not run for its own sake, its bytes are the answer.
   */
  readonly ending?: Ending
  /** A time as a document writes it; `4 s` unless given. */
  readonly lasts?: string
}

/** A check that the model answer's runs suggest. */
export interface Proposal {
  /** As it would stand in the document: id, kind, title, group, weight and the fields of its kind. */
  readonly check: Readonly<Record<string, Plain>>
  /** Why, in a sentence for the author. */
  readonly reason: string
  /** Taken into the draft; others are for the author to choose. */
  readonly isChosen: boolean
}

/** What the model answer did on one run, in figures for the author. */
export interface ModelRun {
  readonly caseId: string
  readonly tStates: TState
  /** Bytes on the stack at most. */
  readonly stackDepth: number
  /** `HALT at 400Ch`. */
  readonly end: string
}

/** A complete exercise made from a model answer. */
export interface Draft {
  /** Plain data to be written as YAML or JSON; what was drafted, completed. */
  readonly document: Readonly<Record<string, unknown>>
  /** The same, read; null where there are problems. */
  readonly exercise: Exercise | null
  /** What is wrong with what was drafted, or with the model answer; empty when there is an exercise. */
  readonly problems: readonly DocumentProblem[]
  readonly proposals: readonly Proposal[]
  readonly runs: readonly ModelRun[]
  /** What the model answer took its way from: keys, switches, the timer. There is no exercise while one of them is missing. */
  readonly awaited: readonly AwaitedInput[]
  /** What was decided for the author, a sentence each. */
  readonly remarks: readonly string[]
  /** Bytes of the model answer. */
  readonly size: number
  /** Ended by `onProgress` before it was done: what is there is not complete. */
  readonly isStopped: boolean
}

export interface ProposeOptions {
  /** Decides drawn values; 0 unless given. */
  readonly seed?: number
  /** Called before each run of the model answer; `false` stops. */
  readonly onProgress?: (progress: { readonly done: number; readonly total: number }) => boolean | void
}

/** A check's kind, and the fields of it. */
export type Way = Readonly<Record<string, Plain>>

/** A check to propose. Of its ways, the strictest first, the first that the model answer passes is taken. */
export interface Idea {
  readonly id: string
  readonly group: 'function' | 'timing' | 'care'
  readonly weight: number
  readonly title: string
  readonly reason: string
  readonly isChosen?: boolean
  readonly ways: readonly Way[]
}

/** `3E 05`: bytes as a document writes them. */
export function bytesText(bytes: Iterable<Byte>): string {
  return Array.from(bytes, (byte) => byte.toString(16).toUpperCase().padStart(2, '0')).join(' ')
}

/** `4600h`. */
export function addressText(address: number): string {
  return `${address.toString(16).toUpperCase().padStart(4, '0')}h`
}

/** A fifth more, rounded up. */
export function withMargin(value: number): number {
  return Math.ceil(value * 1.2 - 1e-9)
}

/** Why a proposal is not taken of itself. */
export function onlyIf(says: string): string {
  return `Take it only if the task ${says}: another right answer may do otherwise.`
}
