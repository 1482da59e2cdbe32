import { eventCode, EventLog, type BoardProfile } from '../board/index.ts'
import type { TState } from '../cpu/index.ts'
import { showWord } from '../image/index.ts'
import type { Recording, RunResult } from '../run/index.ts'
import type { CallSite } from './calls.ts'
import type { CaseRun, MomentWords } from './case-run.ts'
import { routineNamed } from './checks/routine-calls.ts'
import { amountText } from './words.ts'
import type { When } from './when.ts'
import { tStatesOf } from './schema/index.ts'

/** The steps of a run between which a check looks: the state before step `from` is its start, that before `to` its end. */
interface Stretch {
  readonly from: number
  readonly to: number
}

/** `after call 2`, `at 500 ms`, `at 4010h, the 3rd time`. */
export function whenText({ time, address, routine, call, nth }: When, of: number | null = null): string {
  if (time !== null) return `at ${amountText(time)}`
  if (address !== null) return `at ${showWord(address)}${nth === 1 ? '' : `, the ${ordinal(nth)} time`}`
  if (routine !== null) return `after ${nth === 1 ? 'the call' : `the ${ordinal(nth)} call`} of ${routine}`
  return call === 'each' && of === null ? 'after each call' : `after call ${of ?? call}`
}

function ordinal(value: number): string {
  const tens = value % 100
  const end = tens > 10 && tens < 14 ? 'th' : (['th', 'st', 'nd', 'rd'][value % 10] ?? 'th')
  return `${value}${end}`
}

/** The words of a check that looks there. */
export function wordsOf(moment: When, of: number | null): MomentWords {
  const end = whenText(moment, of)
  return {
    end,
    lead: `${end.slice(0, 1).toUpperCase()}${end.slice(1)}`,
    start: moment.call === null ? 'at the start' : 'before it',
  }
}

/** Where in a recorded run a moment lies; null where the run never came to it. `call` counts from 1. */
export function stretchOf(
  recording: Recording,
  profile: BoardProfile,
  site: CallSite | null,
  moment: When,
  call: number,
): Stretch | null {
  const { time, address, routine, nth } = moment
  const { steps, tStates } = recording.result
  if (time !== null) {
    const t = tStatesOf(time, profile.clockHz)
    return t > tStates ? null : { from: 0, to: recording.stepAt(t) }
  }
  if (address !== null) {
    const to = nthVisit(recording, address, nth)
    return to === null ? null : { from: 0, to }
  }
  if (routine !== null) {
    const calls = programCalls(recording, profile, routineNamed(profile, routine)?.address ?? 0, nth)
    const came = calls === null ? null : recording.find(calls, 'on', { kind: 'same-depth' })
    return came === null || came >= steps ? null : { from: 0, to: came }
  }
  if (site === null) return null
  const from = nthVisit(recording, site.call, call)
  const to = nthVisit(recording, site.back, call)
  return from === null || to === null ? null : { from, to }
}

function nthVisit(recording: Recording, address: number, nth: number): number | null {
  let step = -1
  for (let visit = 0; visit < nth; visit++) {
    const next = recording.find(step, 'on', { kind: 'pc', address })
    if (next === null || next >= recording.result.steps) return null
    step = next
  }
  return step
}

/** The step of the nth call that the program itself, not the firmware, makes of a routine. */
function programCalls(recording: Recording, profile: BoardProfile, routine: number, nth: number): number | null {
  let found: number | null = null
  let count = 0
  let before: number | null = null
  const isRom = (address: number): boolean =>
    profile.memory.some(({ kind, from, to }) => kind === 'rom' && address >= from && address <= to)
  recording.walk(0, recording.result.steps, (step, _t, pc) => {
    if (pc === routine && before !== null && !isRom(before)) {
      count += 1
      if (count === nth) found = step - 1
    }
    before = pc
  })
  return found
}

/** The run as it stood at the moment, so that a check that looks at an end looks there; null where the run never came to it. */
export function runAt(run: CaseRun, moment: When, call: number | null): CaseRun | null {
  const recording = run.recording()
  const stretch = stretchOf(recording, run.profile, run.callSite, moment, call ?? 1)
  if (stretch === null) return null
  const start = recording.at(stretch.from)
  const cut = cutResult(recording, stretch)
  return {
    ...run,
    result: cut,
    moment: wordsOf(moment, call),
    initial: () => (stretch.from === 0 ? run.initial() : { memory: start.memory, registers: start.registers }),
    digits: () => run.digits().filter(({ from, to }) => from <= cut.tStates && to > cut.tStates),
    model: () => {
      const model = run.modelRecording()
      const same = model === null ? null : stretchOf(model, run.profile, run.callSite, moment, call ?? 1)
      return model === null || same === null ? null : cutResult(model, same)
    },
  }
}

/** The run of a case with calls as it stood after the `nth` of them, counted from 1; null where it never came back from it. */
export function runAfterCall(run: CaseRun, nth: number): CaseRun | null {
  return runAt(run, { time: null, address: null, routine: null, call: nth, nth: 1 }, nth)
}

/** What a run would have given, had it ended before step `to`; writes before step `from` are left out. */
function cutResult(recording: Recording, { from, to }: Stretch): RunResult {
  const { t, registers, memory } = recording.at(to)
  const since: TState = from === 0 ? 0 : recording.at(from).t
  const [last] = to === 0 ? [] : recording.steps(to - 1, to)
  const all = recording.events
  const events = EventLog.from(
    Array.from({ length: all.firstFrom(t) }, (_, i) => i).flatMap((i) => {
      const isBefore = all.codeAt(i) === eventCode.memoryWrite && all.timeAt(i) < since
      const event = isBefore ? undefined : all.at(i)
      return event === undefined ? [] : [event]
    }),
  )
  return {
    ...recording.result,
    end: { kind: 'halted' },
    tStates: t,
    steps: to,
    lastPc: last?.pc ?? registers.pc,
    registers,
    memory,
    events,
  }
}
