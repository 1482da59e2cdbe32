import type { Program } from '../assembler/index.ts'
import { countWork, type BoardProfile, type BoardState } from '../board/index.ts'
import { attribute, type Addr, type CpuState, type TState } from '../cpu/index.ts'
import {
  callSiteOf,
  kindNamed,
  modelRun,
  prepareCheck,
  runRequestFor,
  type CallSite,
  type CaseInstance,
  type Exercise,
  type PreparedCheck,
  type StartNumber,
} from '../exercise/index.ts'
import {
  memoryAtStart,
  record,
  registersAtStart,
  run,
  type Machine,
  type Recording,
  type RunRequest,
  type RunResult,
} from '../run/index.ts'

/** A check made ready for one case. */
export interface StagedCheck {
  readonly id: string
  readonly prepared: PreparedCheck
  readonly needsEnd: boolean
  /** Its verdict, and not only the place of it, takes a recorded run. */
  readonly needsRecording: boolean
  /** Its verdict takes the lowest SP, or the memory writes as events. */
  readonly watches: 'nothing' | 'stack' | 'writes'
  /** Checks with a higher one take longer to decide. */
  readonly cost: number
}

/** One case made ready to be run with one image after another. */
export interface Stage {
  readonly instance: CaseInstance
  /** With the constants of one student in place. */
  readonly exercise: Exercise
  /** Its image holds the instructor's driver alone, if there is one. */
  readonly request: RunRequest
  /** All memory at the start but for the program. */
  readonly memory: Uint8Array
  /** What lies over a program that stands in the same place: driver, given bytes, return address. `to` is not included. */
  readonly overlays: readonly { readonly from: Addr; readonly to: Addr }[]
  readonly cpu: CpuState
  readonly board: BoardState
  /** Attributes of memory: everything outside ROM, driver and program stops a run. */
  readonly marks: Uint8Array
  /** The same where nobody wants the writes as events. */
  readonly marksUnwatched: Uint8Array
  /** Where the last RET goes; null where programs end with HALT. */
  readonly back: Addr | null
  /** The model answer's run, made when it is first asked for; null where the exercise has none. */
  readonly model: RunResult | null
  /** The same, recorded. */
  readonly modelRecording: () => Recording | null
  readonly callSite: CallSite | null
  readonly checks: readonly StagedCheck[]
}

const empty = { segments: [] }
/** What it takes to make memory and marks of a case ready. */
const workOfStage = 50_000

/** What all cases of an exercise have in common. */
export interface Setting {
  readonly exercise: Exercise
  readonly profile: BoardProfile
  /** Where it starts is where its edits do. */
  readonly program: Program
  readonly answer: Program | null
  readonly seed: number
}

/** Sets up one case, with the start that it is graded with first unless another is given. The machine is used for it and left somewhere. */
export function stageOf(
  { exercise, profile, program, answer, seed }: Setting,
  instance: CaseInstance,
  machine: Machine,
  checks: readonly StagedCheck[] = stagedChecks(exercise, instance),
  start?: StartNumber,
): Stage {
  const request = runRequestFor(exercise, profile, { ...program, image: empty }, instance.id, seed, start)
  const { given, ends } = request
  countWork(workOfStage)
  const memory = memoryAtStart(request)
  const registers = registersAtStart(request)
  machine.powerOn({ byte: 0 })
  machine.memory.set(memory)
  machine.setRegisters(registers)
  machine.schedule(given)
  const { cpu, board } = machine.saveState()
  const back = ends === 'return' ? wordAt(memory, registers.sp) : null
  const overlays = [
    ...request.image.segments.map(({ start, bytes }) => ({ from: start, to: start + bytes.length })),
    ...given.memory.map(({ at, bytes }) => ({ from: at, to: at + bytes.length })),
    ...(back === null ? [] : [{ from: registers.sp, to: registers.sp + 2 }]),
  ]
  const marksUnwatched = marksOf(machine.cpu.attributes, request, back)
  const isWatching = request.isWatchingWrites === true
  const marks = isWatching ? marksUnwatched.map((bits) => bits | attribute.watchWrite) : marksUnwatched
  let model: RunResult | null = null
  let recorded: Recording | null = null
  return {
    ...{ instance, exercise, request, memory, overlays, cpu, board, marks, marksUnwatched, back, checks },
    get model() {
      if (answer !== null)
        // Grading keeps those of the start that a case is graded with.
        model ??=
          start === undefined
            ? modelRun(exercise, profile, instance.id, seed)
            : run(runRequestFor(exercise, profile, answer, instance.id, seed, start))
      return model
    },
    modelRecording() {
      if (answer !== null) recorded ??= record(runRequestFor(exercise, profile, answer, instance.id, seed, start))
      return recorded
    },
    callSite: callSiteOf(exercise, profile, program, instance),
  }
}

/** Kinds that watch writes for the lowest SP alone, which a run can tell without them. */
const watchingStack = ['stack-balance']

function stagedChecks(exercise: Exercise, instance: CaseInstance): readonly StagedCheck[] {
  return exercise.checks
    .filter((check) => check.cases === null || check.cases.includes(instance.of.id))
    .map((check): StagedCheck => {
      const kind = kindNamed(check.kind)
      const prepared = prepareCheck(exercise, check, instance.of.id)
      if (kind === undefined || prepared === undefined) throw new Error(`the check ${check.id} was never read`)
      const { needsEnd, needsRecording, cost } = prepared
      const watched = watchingStack.includes(kind.name) ? 'stack' : 'writes'
      const watches = prepared.isWatchingWrites ? watched : 'nothing'
      return { id: check.id, prepared, needsEnd, needsRecording, watches, cost }
    })
    .toSorted((a, b) => a.cost - b.cost)
}

function marksOf(attributes: Uint8Array, request: RunRequest, back: Addr | null): Uint8Array {
  const marks = attributes.map((bits) => bits | attribute.stopAt)
  const free = [
    ...request.profile.memory.filter(({ kind }) => kind === 'rom'),
    ...request.image.segments.map(({ start, bytes }) => ({ from: start, to: start + bytes.length - 1 })),
    ...(request.mayExecute ?? []),
  ]
  for (const { from, to } of free) for (let at = from; at <= to; at++) marks[at] = (marks[at] ?? 0) & ~attribute.stopAt
  if (back !== null) marks[back] = (marks[back] ?? 0) | attribute.stopAt
  return marks
}

function wordAt(memory: Uint8Array, at: Addr): Addr {
  return (memory[at] ?? 0) | ((memory[(at + 1) & 0xffff] ?? 0) << 8)
}

/** T-states that a run of the case usually takes: the model answer's, else all of the budget. */
export function usualTime({ model, request }: Stage): TState {
  return model?.tStates ?? request.budget
}
