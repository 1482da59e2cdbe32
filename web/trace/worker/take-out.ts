import type { ReadOptions } from '../../../core/assembler/index.ts'
import type { BoardProfile } from '../../../core/board/index.ts'
import type { RunnableExercise } from '../../../core/exercise/index.ts'
import {
  type CpuLane,
  type Session,
  type SessionNote,
  type SessionProgram,
  listingCsv,
  sessionStart,
  stepTableCsv,
  vcdOf,
  wavOf,
  writeSession,
} from '../../../core/exports/index.ts'
import type { Span } from '../model/span.ts'
import type { Opened } from './opened.ts'

/** Files that the run can be taken out as. `lanes`: registers that the VCD shows beside what stands on the board. */
export type TakeOut =
  | { readonly kind: 'vcd'; readonly span: Span; readonly lanes: readonly CpuLane[] }
  | { readonly kind: 'wav'; readonly span: Span }
  | { readonly kind: 'listing' }
  | { readonly kind: 'steps'; readonly span: Span }
  | {
      readonly kind: 'session'
      readonly title: string
      readonly step: number
      readonly window: Span
      readonly notes: readonly SessionNote[]
    }

export interface TakenOut {
  /** How the file's name ends. */
  readonly ending: string
  readonly type: string
  readonly content: string | Uint8Array<ArrayBuffer>
  /** What was left out because the file would be too long; null where it is all there. */
  readonly left: string | null
}

/** A step is a line of some 130 characters: more than this no table program opens gladly. */
export const mostSteps = 100_000

export function takeOut(opened: Opened, wish: TakeOut): TakenOut {
  const { recording, program, board } = opened
  switch (wish.kind) {
    case 'vcd':
      return text('vcd', 'text/plain', vcdOf(recording, board, { ...wish.span, lanes: wish.lanes }))
    case 'wav': {
      const content = wavOf(recording.events, board, wish.span)
      return { ending: 'wav', type: 'audio/wav', content: new Uint8Array(content), left: null }
    }
    case 'listing':
      return text('listing.csv', 'text/csv', listingCsv(program))
    case 'steps': {
      const from = recording.stepAt(wish.span.from)
      const after = recording.stepAt(wish.span.to - 1) + 1
      const to = Math.min(after, from + mostSteps)
      const left = after > to ? `The first ${mostSteps} steps of it; mark a stretch to have others.` : null
      const table = stepTableCsv(recording, from, to, {
        nameOf: (address) => opened.labelAt(address),
        listing: program.listing,
      })
      return { ...text('steps.csv', 'text/csv', table), left }
    }
    case 'session':
      return text('hexcairn.json', 'application/json', writeSession(sessionOf(opened, wish)))
  }
}

/** The case as a run by itself, so that it opens where the exercise is not known; and of which case it is. */
function sessionOf(
  { request, subject, program, options, board }: Opened,
  wish: Extract<TakeOut, { kind: 'session' }>,
): Session {
  const { caseId, seed } = subject
  const { id } = subject.exercise as Pick<RunnableExercise, 'id'>
  const start = request.given.undefined?.start
  return {
    title: wish.title,
    board: board.id,
    program: { format: subject.format, text: subject.text, ...ownOptions(options, board) },
    start: sessionStart(request, program),
    exercise: { id, caseId, seed, ...(start === undefined ? {} : { start }) },
    tape: null,
    notes: wish.notes,
    position: { step: wish.step, from: Math.floor(wish.window.from), to: Math.ceil(wish.window.to) },
  }
}

/** What of the way a text was read is the exercise's and not the board's. */
function ownOptions(
  { origin, symbols = {} }: ReadOptions,
  { layout, firmware }: BoardProfile,
): Partial<SessionProgram> {
  const routines = new Set(firmware.routines.map(({ name }) => name))
  const own = Object.entries(symbols).filter(([name]) => !routines.has(name))
  return {
    ...(origin === layout.program ? {} : { origin }),
    ...(own.length === 0 ? {} : { symbols: Object.fromEntries(own) }),
  }
}

function text(ending: string, type: string, content: string): TakenOut {
  return { ending, type: `${type}; charset=utf-8`, content, left: null }
}
