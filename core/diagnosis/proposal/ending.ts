import type { BoardProfile } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'
import { endText, type DocumentProblem } from '../../exercise/index.ts'
import { run } from '../../run/index.ts'
import { secondsText, type AwaitedInput } from './awaited-inputs.ts'
import type { ModelBehaviour } from './model-behaviour.ts'

/** How the author says that the program comes to its end: by itself, never, or not at all, since its bytes are the answer. */
export type Ending = 'ends' | 'runs-on' | 'sheet'

/** A run that goes on is tried with so many times its budget. */
const patience = 5
/** And with no more than this. */
const mostTStates: TState = 1_000_000_000

/** What a model answer waited for on any of its runs: of each place the longest wait. */
export function allAwaited(runs: readonly ModelBehaviour[]): readonly AwaitedInput[] {
  const places = new Map<string, AwaitedInput>()
  for (const awaited of runs.flatMap((each) => each.awaited)) {
    const key = `${awaited.what} ${awaited.at}`
    const known = places.get(key)
    if (known === undefined || isMore(awaited, known)) places.set(key, awaited)
  }
  return [...places.values()]
}

function isMore(one: AwaitedInput, other: AwaitedInput): boolean {
  return one.isOpen === other.isOpen ? one.tStates > other.tStates : one.isOpen
}

/** Why the checks of a program that should end cannot be drafted: it did not. Null where every run ended as it should. */
export function endProblem(runs: readonly ModelBehaviour[], isTimerChosen: boolean): DocumentProblem | null {
  for (const each of runs) {
    const words = endWords(each, isTimerChosen)
    if (words !== null) return problemOf('no-end', words.found, words.message)
  }
  return null
}

/** The same of a program that should run on. */
export function earlyEndProblem(runs: readonly ModelBehaviour[], profile: BoardProfile): DocumentProblem | null {
  const early = runs.find(({ recording }) => recording.result.end.kind !== 'budget-used-up' && !isLoop(recording))
  if (early === undefined) return null
  const { end, lastPc, tStates } = early.recording.result
  const found = endText(end, lastPc, profile)
  const message = `Your answer is to run on, but after ${secondsText(tStates, profile.clockHz)} it came to an end: ${found}.`
  return problemOf('early-end', found, message)
}

/** What nothing can be said of: a run that showed nothing to check. */
export function silentProblem(seconds: string, awaited: readonly AwaitedInput[]): DocumentProblem {
  const waits = awaited.filter(({ isOpen }) => isOpen).map(({ words }) => words)
  const message = [
    `In ${seconds} your answer did nothing that a check could look at: no digit, no sound, no lamp, no other port.`,
    ...waits,
  ].join(' ')
  return problemOf('nothing-seen', 'nothing seen or heard', message)
}

function isLoop({ result }: ModelBehaviour['recording']): boolean {
  return result.end.kind === 'proven-loop'
}

function endWords(
  { recording, request, awaited }: ModelBehaviour,
  isTimerChosen: boolean,
): { readonly found: string; readonly message: string } | null {
  const { profile } = request
  const { end, lastPc, tStates } = recording.result
  const found = endText(end, lastPc, profile)
  const timer = awaited.find(({ what, isOpen }) => what === 'timer' && isOpen && !isTimerChosen)
  if (end.kind === 'halted' && timer !== undefined) return { found, message: timer.words }
  if (end.kind === 'halted' && request.ends === 'return') {
    return { found, message: `Your answer should end with RET to its caller; it ended with ${found}.` }
  }
  if (end.kind === 'halted' || end.kind === 'returned') return null
  const after = secondsText(tStates, profile.clockHz)
  const open = awaited.filter(({ isOpen }) => isOpen)
  if (open.length > 0) {
    const keys = request.given.keys.length
    const moves = request.given.switchMoves?.length ?? 0
    const waitsFor = (thing: 'key' | 'switches'): boolean => open.some(({ what }) => what === thing)
    const had = [
      ...(keys > 0 && waitsFor('key') ? [`It had ${keys === 1 ? 'one key' : `${keys} keys`}.`] : []),
      ...(moves > 0 && waitsFor('switches')
        ? [`Its switches were moved ${moves === 1 ? 'once' : `${moves} times`}.`]
        : []),
    ]
    return { found, message: [...open.map(({ words }) => words), ...had].join(' ') }
  }
  if (end.kind === 'proven-loop') {
    return { found, message: `Your answer never ends: it goes round ${loopWords(end.loop)} for ever.` }
  }
  if (end.kind === 'budget-used-up') {
    const where = end.loop === null ? '' : `, in ${loopWords(end.loop)}`
    return { found, message: `Your answer was still running after ${after}${where}.` }
  }
  return { found, message: `Your answer did not come to its end: ${found}.` }
}

function loopWords({ from, to }: { readonly from: number; readonly to: number }): string {
  const word = (address: number): string => `${address.toString(16).toUpperCase().padStart(4, '0')}h`
  return from === to ? `the instruction at ${word(from)}` : `the loop ${word(from)} to ${word(to)}`
}

function problemOf(code: string, found: string, message: string): DocumentProblem {
  const allowed = 'a program that ends as the exercise says'
  return { path: ['model', 'text'], code, found, allowed, nearest: null, message }
}

/**
 * The budget that a run needs which was stopped at its budget and waits for nothing: a fifth above the time after which it
 * ends, in whole seconds. Null where it does not end in five times its budget either.
 */
export function neededBudget(runs: readonly ModelBehaviour[]): string | null {
  const stopped = runs.filter(({ recording }) => recording.result.end.kind === 'budget-used-up')
  if (stopped.length === 0 || stopped.some(({ awaited }) => awaited.some(({ isOpen }) => isOpen))) return null
  let longest = 0
  for (const { request } of stopped) {
    const budget = Math.min(patience * request.budget, mostTStates)
    const { end, tStates } = run({ ...request, budget, isWatchingWrites: false })
    if (end.kind !== 'halted' && end.kind !== 'returned') return null
    longest = Math.max(longest, tStates)
  }
  const clockHz = stopped[0]?.request.profile.clockHz ?? 1
  return `${Math.ceil((longest * 1.2) / clockHz)} s`
}
