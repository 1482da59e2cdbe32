import { readProgram, type Program } from '../../../core/assembler/index.ts'
import { benchEight, digitTimeline, notesOf } from '../../../core/board/index.ts'
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
  readonly tStates: number
  readonly model: RunResult | null
}

/** Every model and second answer of the exercises with a measuring check, on every case that has one. */
export function subjects(seed = 0): readonly Subject[] {
  return folders.flatMap((folder) => {
    const exercise = exerciseFor(exerciseOf(folder), seed)
    if (!exercise.checks.some(({ kind }) => measuring.includes(kind))) return []
    const answers = Object.keys(filesOf(folder)).filter((name) => /^(model|other)\./.test(name))
    const answer = modelProgram(exercise, benchEight)
    return answers.flatMap((file) => {
      const program = readProgram(programOf(folder, file, seed), readOptionsFor(exercise, benchEight))
      return caseInstances(exercise).flatMap((instance): Subject[] => {
        const caseId = instance.id
        if (checksOf(exercise, instance.of.id).length === 0) return []
        const request = runRequestFor(exercise, benchEight, program, caseId, seed)
        const base = run(request)
        const tones = notesOf(base.events, benchEight).flatMap(({ edges, from }) => (edges > 1 ? [from] : []))
        const model = answer === null ? null : run(runRequestFor(exercise, benchEight, answer, caseId, seed))
        return [{ folder, file, caseId, exercise, program, request, tones, tStates: base.tStates, model }]
      })
    })
  })
}

function checksOf(exercise: Exercise, caseId: string) {
  return exercise.checks.filter(
    ({ kind, cases }) => measuring.includes(kind) && (cases === null || cases.includes(caseId)),
  )
}

/** How a run is moved: the timer's phase in T-states, and rounds of `LD B,n / DJNZ $` before the program and each tone. */
export interface Shift {
  readonly phase: number
  readonly rounds: number
}

/** T-states of `LD B,n` and `DJNZ $`; 0 rounds are no delay here. */
const delayOf = (rounds: number) => (rounds === 0 ? 0 : 13 * rounds + 2)

/** A delay comes this much before the first edge of a tone: time for the OUT that makes it. */
const beforeEdge = 40

/**
 * The run of a subject with the timer in another phase, the program held up before its first instruction and before the
 * instructions that begin a tone, as by a delay in its text, but at no cost in bytes.
 */
function shiftedResult({ request, tones }: Subject, { phase, rounds }: Shift): readonly [RunRequest, RunResult] {
  const delay = delayOf(rounds)
  const moved = { ...request, given: { ...request.given, timerPhase: phase } }
  if (delay === 0) return [moved, heldUp(moved, delay, [])]
  if (!request.given.isTimerOn)
    return [
      moved,
      heldUp(
        moved,
        delay,
        tones.map((t, k) => t + (k + 1) * delay),
      ),
    ]
  // A program that waits for its ticks does not come later by what it was held up: each tone is looked for anew.
  const found: number[] = []
  for (;;) {
    const result = heldUp(moved, delay, found)
    const begins = notesOf(result.events, benchEight).flatMap(({ edges, from }) => (edges > 1 ? [from] : []))
    const next = begins[found.length]
    if (next === undefined || found.length === tones.length) return [moved, result]
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
