import { readProgram, type Program, type ProgramSource } from '../../../core/assembler/index.ts'
import { benchEight, digitTimeline, eventCode, notesOf, type EventLog } from '../../../core/board/index.ts'
import {
  caseInstances,
  exerciseFor,
  modelProgram,
  prepareCheck,
  readOptionsFor,
  runRequestFor,
  type CaseRun,
  type Exercise,
} from '../../../core/exercise/index.ts'
import { execute, prepare } from '../../../core/run/execute.ts'
import {
  Machine,
  memoryAtStart,
  record,
  registersAtStart,
  run,
  type RunRequest,
  type RunResult,
} from '../../../core/run/index.ts'
import { exerciseOf, filesOf, folders, programOf } from './tram-depot.ts'

/** Kinds of check that measure what an ear or an eye notices. */
const measuring = [
  ...['speaker', 'tones-in-turn', 'drift', 'digits-seen', 'signs-in-turn', 'shown-after-key', 'memory-after-key'],
  ...['lamps', 'interrupts'],
]

/** A right answer of the course on one of its cases. */
export interface Subject {
  readonly folder: string
  readonly file: string
  readonly caseId: string
  readonly exercise: Exercise
  readonly program: Program
  readonly request: RunRequest
  /** T-states at which its tones begin. */
  readonly tones: readonly number[]
  /** T-states at which its sweeps over the digits begin. */
  readonly sweeps: readonly number[]
  readonly tStates: number
  readonly model: RunResult | null
}

/** Every model and second answer of the exercises with a measuring check, on every case that has one. */
export function subjects(seed = 0): readonly Subject[] {
  return folders.flatMap((folder) => {
    const exercise = exerciseFor(exerciseOf(folder), seed)
    if (!exercise.checks.some(({ kind }) => measuring.includes(kind))) return []
    const answers = Object.keys(filesOf(folder)).filter((name) => /^(model|other)\./.test(name))
    return answers.flatMap((file) =>
      subjectsOf(folder, exercise, { name: file, source: programOf(folder, file, seed) }, seed),
    )
  })
}

/** An answer on every case of an exercise that has a measuring check. */
export function subjectsOf(
  folder: string,
  exercise: Exercise,
  { name, source }: { readonly name: string; readonly source: ProgramSource },
  seed = 0,
): readonly Subject[] {
  const program = readProgram(source, readOptionsFor(exercise, benchEight))
  const answer = modelProgram(exercise, benchEight)
  return caseInstances(exercise).flatMap((instance): Subject[] => {
    const caseId = instance.id
    if (checksOf(exercise, instance.of.id).length === 0) return []
    const request = runRequestFor(exercise, benchEight, program, caseId, seed)
    const base = run(request)
    const tones = tonesBegin(base.events)
    const sweeps = sweepsBegin(base.events)
    const model = answer === null ? null : run(runRequestFor(exercise, benchEight, answer, caseId, seed))
    return [{ folder, file: name, caseId, exercise, program, request, tones, sweeps, tStates: base.tStates, model }]
  })
}

function tonesBegin(events: EventLog): readonly number[] {
  return notesOf(events, benchEight).flatMap(({ edges, from }) => (edges > 1 ? [from] : []))
}

/** T-states at which a digit is selected that stands no further right than the one before it. */
function sweepsBegin(events: EventLog): readonly number[] {
  const begins: number[] = []
  let before = Infinity
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) !== eventCode.portWrite || events.whereAt(i) !== benchEight.display.selectPort) continue
    const digit = benchEight.display.digitBits.findIndex((bit) => ((events.valueAt(i) >> bit) & 1) === 1)
    if (digit < 0) continue
    if (digit <= before) begins.push(events.timeAt(i))
    before = digit
  }
  return begins
}

function checksOf(exercise: Exercise, caseId: string) {
  return exercise.checks.filter(
    ({ kind, cases }) => measuring.includes(kind) && (cases === null || cases.includes(caseId)),
  )
}

/**
 * How a run is moved: the timer's phase in T-states, and rounds of `LD B,n / DJNZ $` before the program, before each tone
 * and before one sweep, the nth of all.
 */
export interface Shift {
  readonly phase: number
  readonly rounds: number
  readonly sweep?: number
}

/** T-states of `LD B,n` and `DJNZ $`; 0 rounds are no delay here. */
const delayOf = (rounds: number) => (rounds === 0 ? 0 : 13 * rounds + 2)

/** A delay comes this much before the first edge of a tone: time for the OUT that makes it. */
const beforeEdge = 40

/**
 * The run of a subject with the timer in another phase, the program held up before its first instruction and before the
 * instructions that begin a tone or the sweep, as by a delay in its text, but at no cost in bytes.
 */
function shiftedResult(subject: Subject, { phase, rounds, sweep }: Shift): readonly [RunRequest, RunResult] {
  const { request } = subject
  const delay = delayOf(rounds)
  const moved = { ...request, given: { ...request.given, timerPhase: phase } }
  if (delay === 0) return [moved, heldUp(moved, delay, [])]
  const one = (sweeps: readonly number[]) => (sweep === undefined ? [] : sweeps.slice(sweep, sweep + 1))
  const inOrder = (tones: readonly number[], sweeps: readonly number[]) =>
    [...new Set([...tones, ...one(sweeps)])].toSorted((a, b) => a - b)
  const known = inOrder(subject.tones, subject.sweeps)
  if (!request.given.isTimerOn)
    return [
      moved,
      heldUp(
        moved,
        delay,
        known.map((t, k) => t + (k + 1) * delay),
      ),
    ]
  // A program that waits for its ticks does not come later by what it was held up: each is looked for anew.
  const found: number[] = []
  for (;;) {
    const result = heldUp(moved, delay, found)
    const next = inOrder(tonesBegin(result.events), sweepsBegin(result.events))[found.length]
    if (next === undefined || found.length === known.length) return [moved, result]
    found.push(next)
  }
}

/** A run that is held up for `delay` T-states at its start and before each of the given times, of this very run. */
function heldUp(request: RunRequest, delay: number, edges: readonly number[]): RunResult {
  const machine = new Machine(request.profile)
  prepare(machine, request)
  machine.cpu.tStates += delay
  const waiting = [...edges]
  const checkpoints = {
    get every() {
      const [next] = waiting
      return next === undefined ? Infinity : Math.max(1, next - beforeEdge - machine.tStates)
    },
    take() {
      waiting.shift()
      machine.cpu.tStates += delay
    },
  }
  return execute(machine, request, { checkpoints, isWatchingStack: true })
}

/** The measuring checks that a shifted run does not pass: what each found and wanted. */
export function lostBy(subject: Subject, shift: Shift): readonly string[] {
  const { exercise, program, caseId, model } = subject
  const [request, result] = shiftedResult(subject, shift)
  let digits: ReturnType<CaseRun['digits']> | null = null
  const seen: CaseRun = {
    ...{ caseId, isVisible: true, profile: benchEight, program, request, result, model: () => model },
    digits: () => (digits ??= digitTimeline(result.events, benchEight, 0, result.tStates)),
    initial: () => ({ memory: memoryAtStart(request), registers: registersAtStart(request) }),
    recording: () => record(request),
    modelRecording: () => null,
    callSite: null,
    runUntil: (breakpoints) => run({ ...request, breakpoints, isWatchingWrites: false }),
    moved: () => result,
  }
  const instance = caseInstances(exercise).find(({ id }) => id === caseId)
  if (instance === undefined) throw new Error(`${exercise.id} has no case ${caseId}`)
  return checksOf(exercise, instance.of.id).flatMap((check) => {
    const verdict = prepareCheck(exercise, check, instance.of.id)?.evaluate(seen)
    if (verdict?.outcome === 'passed') return []
    const { folder, file } = subject
    return [
      `${folder} ${file} ${caseId}, phase ${shift.phase}, ${shift.rounds} rounds: ${check.id}: ${verdict?.message}`,
    ]
  })
}
