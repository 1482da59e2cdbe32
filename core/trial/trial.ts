import type { Program, ReadOptions } from '../assembler/index.ts'
import { countWork, digitTimeline, eventCode, EventLog, type BoardProfile, type DigitSpan } from '../board/index.ts'
import { attribute, decode, type Addr, type CpuStop, type TState } from '../cpu/index.ts'
import {
  caseInstances,
  drawnAnew,
  exerciseFor,
  floodOf,
  modelProgram,
  movedRequest,
  readOptionsFor,
  type CaseInstance,
  type CaseRun,
  usualStart,
  type Exercise,
  type StartNumber,
} from '../exercise/index.ts'
import { mergeImages, type Image } from '../image/index.ts'
import {
  eventFlood,
  eventLimitOf,
  LoopProof,
  Machine,
  record,
  registersAtStart,
  run,
  type Outputs,
  type Recording,
  type RunEnd,
  type RunRequest,
  type RunResult,
} from '../run/index.ts'
import { madeProgram } from './made-program.ts'
import { stageOf, usualTime, type Setting, type Stage, type StagedCheck } from './stage.ts'

/** What it takes to put an image in its place, and to look at what became of it. */
const workOfTrial = 3_000

/** How far a run goes, and what of it is kept. */
export interface TrialOptions {
  /** T-state at which it is cut; its budget unless given. */
  readonly limit?: TState
  /**
   * The lowest SP is followed, or memory writes are among the events too, which takes eight and fifteen times as long on
   * long runs of the demo course; as the case's checks ask unless given.
   */
  readonly watches?: StagedCheck['watches']
  /** It is left as soon as it is proven that it never ends. */
  readonly isEndlessEnough?: boolean
}

/** A run, and whether it came to its end (or fault, or budget), was cut at the limit, or is proven to have no end. */
export interface Tried {
  readonly run: CaseRun
  readonly left: 'ended' | 'cut' | 'endless'
}

/**
 * Tries one image after another on the cases of an exercise, some hundred times cheaper than grading each: everything
 * that does not depend on the program is made once, a run may have a smaller budget, and nobody asks where a check was
 * decided. It agrees with grading on every check, but for a program whose stack leaves the RAM, or which would come to its end only
 * after the smaller budget.
 */
export class Trial {
  /** The cases, those with short runs first. */
  readonly stages: readonly Stage[]
  readonly #machine: Machine
  readonly #setting: Setting
  readonly #options: ReadOptions
  /** One for all runs: it has grown as long as they need it. */
  readonly #events = new EventLog()
  /** Recorded runs of those that checks have asked for. */
  readonly #recordings = new WeakMap<CaseRun, () => Recording>()
  /** That of the run made last, if it has one. */
  #proof: LoopProof | null = null
  readonly #modelDigits = new Map<Stage, readonly DigitSpan[]>()
  readonly #ram: readonly { readonly from: Addr; readonly to: Addr }[]

  /**
   * Starts where `program` does; `seed` as in grading. `startIn` names for a case the values of what nothing sets: those of
   * the run that failed, where a hand-in passed on another by luck. Those that it is graded with first unless told. `only`
   * names the cases to be tried; all unless given.
   */
  constructor(
    of: Exercise,
    profile: BoardProfile,
    program: Program,
    seed: number,
    startIn: (caseId: string) => StartNumber | undefined = () => undefined,
    only: readonly string[] | null = null,
  ) {
    const exercise = exerciseFor(of, seed)
    this.#setting = { exercise, profile, program, answer: modelProgram(exercise, profile), seed }
    this.#machine = new Machine(profile)
    this.#options = readOptionsFor(exercise, profile)
    this.#ram = profile.memory.filter(({ kind }) => kind === 'ram')
    this.stages = caseInstances(exercise)
      .filter(({ id }) => only === null || only.includes(id))
      .map((instance) => stageOf(this.#setting, instance, this.#machine, undefined, startIn(instance.id)))
      .toSorted((a, b) => usualTime(a) - usualTime(b))
  }

  /** A case made of one of the exercise's by putting other values in it: the checks are those of `like`. */
  stageLike(like: Stage, exercise: Exercise, instance: CaseInstance): Stage {
    return stageOf({ ...this.#setting, exercise }, instance, this.#machine, like.checks, usualStart)
  }

  /** The runs of one case of an exercise that has this one's cases and more, with all checks that look at it. */
  stagesOf(exercise: Exercise, caseId: string): readonly Stage[] {
    return caseInstances(exercise)
      .filter(({ of }) => of.id === caseId)
      .map((instance) => stageOf({ ...this.#setting, exercise }, instance, this.#machine, undefined, usualStart))
  }

  /** The program that an image is taken for. */
  programOf(image: Image): Program {
    return madeProgram(image, this.#setting.program.entry, this.#options)
  }

  /** Whether every byte of an image may stand where it does, and there are not too many. */
  isAllowed(image: Image): boolean {
    const { allowed = [], reserved = [], maxBytes = 4096 } = this.#options
    let size = 0
    for (const { start, bytes } of image.segments) {
      const end = start + bytes.length - 1
      size += bytes.length
      if (!allowed.some(({ from, to }) => start >= from && end <= to)) return false
      if (reserved.some(({ from, to }) => from <= end && to >= start)) return false
    }
    return size > 0 && size <= maxBytes
  }

  /** The same case drawn anew, for each `round` otherwise. */
  stageAgain({ instance, checks, exercise }: Stage, round: number): Stage {
    const again = drawnAnew(exercise, round)
    return stageOf({ ...this.#setting, exercise: again }, instance, this.#machine, checks, usualStart)
  }

  /**
   * Runs an image on a case until T-state `limit` at most. The result's memory and events are the machine's own: they
   * hold until the next run. A run that did not end as asked has `budget-used-up` or `left-program` as its end, whatever else it was.
   */
  run(stage: Stage, image: Image, limit: TState = stage.request.budget): CaseRun {
    return this.tried(stage, image, { limit }).run
  }

  /** The same, and how it was left. */
  tried(stage: Stage, image: Image, options: TrialOptions = {}): Tried {
    const { isEndlessEnough = false, watches = stage.request.isWatchingWrites === true ? 'writes' : 'nothing' } =
      options
    const hasWrites = watches === 'writes'
    const isWatchingStack = watches !== 'nothing'
    const machine = this.#machine
    const limit = Math.ceil(Math.min(options.limit ?? Infinity, stage.request.budget))
    this.#prepare(stage, image, hasWrites)
    machine.cpu.setStackWatch(isWatchingStack)
    const events = this.#events
    events.truncate(0)
    events.setLimit(eventLimitOf(stage.request), () => machine.cpu.requestStop())
    machine.board.log = events
    machine.board.onWrite = hasWrites ? (address, value, t, pc) => machine.board.logWrite(address, value, t, pc) : null
    this.#proof = isEndlessEnough ? new LoopProof(machine) : null
    const stop = this.#runTo(limit)
    machine.board.catchUp(machine.tStates)
    const registers = machine.registers()
    const result: RunResult = {
      end: this.#endOf(stop, stage),
      tStates: machine.tStates,
      steps: machine.steps,
      lastPc: machine.cpu.lastPc,
      registers,
      memory: machine.memory,
      events,
      lowestSp: isWatchingStack ? Math.min(machine.cpu.lowestSp, registers.sp) : null,
    }
    if (isWatchingStack) machine.cpu.setStackWatch(false)
    const isCut = stop === 'limit' && limit < stage.request.budget
    return { run: this.#caseRun(stage, image, result), left: stop === 'endless' ? stop : isCut ? 'cut' : 'ended' }
  }

  /** Whether the run made last, which was cut, would have come to HALT or RET within its budget. Executes it on. */
  wouldEnd(stage: Stage): boolean {
    this.#machine.board.log = null
    this.#machine.board.onWrite = null
    // One that is under way has marked an instruction: another would take its mark for an end.
    this.#proof ??= new LoopProof(this.#machine)
    const { kind } = this.#endOf(this.#runTo(stage.request.budget), stage)
    return kind === 'halted' || kind === 'returned'
  }

  /** Whether a run passes a check. */
  isPassed(check: StagedCheck, caseRun: CaseRun): boolean {
    const { kind } = caseRun.result.end
    if (check.needsEnd && kind !== 'halted' && kind !== 'returned') return false
    if (check.prepared.needsRun && floodOf(caseRun.result.end) !== null) return false
    return check.prepared.evaluate(this.seenBy(check, caseRun)).outcome === 'passed'
  }

  /** A run as a check looks at it: recorded where it takes that, up to where the run was cut. */
  seenBy(check: StagedCheck, caseRun: CaseRun): CaseRun {
    if (!check.needsRecording) return caseRun
    const { request, result } = caseRun
    let recording = this.#recordings.get(caseRun)
    if (recording === undefined) {
      const isCut = result.end.kind === 'budget-used-up' && floodOf(result.end) === null
      recording = once(() => record(isCut ? { ...request, budget: result.tStates } : request))
      this.#recordings.set(caseRun, recording)
    }
    return { ...caseRun, recording }
  }

  /**
   * The bytes of an image that are executed in the first `limit` T-states of a case, in the order of their first
   * execution. Bytes that are only read are not among them.
   */
  executed(stage: Stage, image: Image, limit: TState): readonly Addr[] {
    const { cpu, board } = this.#machine
    this.#prepare(stage, image)
    board.log = null
    board.onWrite = null
    for (const { start, bytes } of image.segments) {
      for (let at = start; at < start + bytes.length; at++)
        cpu.attributes[at] = (cpu.attributes[at] ?? 0) | attribute.stopAt
    }
    const isInside = (address: Addr): boolean =>
      image.segments.some(({ start, bytes }) => address >= start && address < start + bytes.length)
    const found = new Set<Addr>()
    while (this.#machine.advance(Math.ceil(Math.min(limit, stage.request.budget)), true) === 'stop-at') {
      const at = cpu.instructionAddress
      if (!isInside(at) || at === stage.back) break
      const { bytes } = decode((address) => cpu.memory[address] ?? 0, at)
      for (let i = 0; i < bytes.length; i++) if (isInside(at + i)) found.add(at + i)
      cpu.attributes[at] = (cpu.attributes[at] ?? 0) & ~attribute.stopAt
    }
    return [...found]
  }

  #prepare(stage: Stage, image: Image, hasWrites = true): void {
    const { memory, cpu, board } = this.#machine
    countWork(workOfTrial)
    for (const { from, to } of this.#ram) memory.set(stage.memory.subarray(from, to + 1), from)
    lay(memory, image, stage)
    cpu.attributes.set(hasWrites ? stage.marks : stage.marksUnwatched)
    for (const { start, bytes } of image.segments) {
      for (let at = start; at < start + bytes.length; at++) {
        if (at !== stage.back) cpu.attributes[at] = (cpu.attributes[at] ?? 0) & ~attribute.stopAt
      }
    }
    board.restore(stage.board)
    cpu.restore(stage.cpu)
  }

  /** Until a T-state, or an end, or the proof that there is none, if one is looked for. */
  #runTo(limit: TState): CpuStop | 'endless' {
    const { cpu } = this.#machine
    const proof = this.#proof
    for (;;) {
      const stop = this.#machine.advance(Math.min(limit, proof?.nextTime ?? Infinity), true)
      const isProofs = stop === 'stop-at' && proof?.isAt(cpu.instructionAddress) === true
      if (stop !== 'limit' && !isProofs) return stop
      if (cpu.tStates >= limit) return 'limit'
      if (proof?.look(stop) === true) return 'endless'
    }
  }

  #endOf(stop: CpuStop | 'endless', stage: Stage): RunEnd {
    if (stop === 'halted') return { kind: 'halted' }
    // Nothing but the limit of events asks for a stop here.
    if (stop === 'requested') return { kind: 'budget-used-up', loop: null, events: eventFlood(this.#events) }
    if (stop === 'limit' || stop === 'endless') return { kind: 'budget-used-up', loop: null }
    const { cpu } = this.#machine
    const { pc, sp } = cpu.registers()
    const isBack = pc === stage.back && sp === ((stage.cpu.registers.sp + 2) & 0xffff)
    return isBack ? { kind: 'returned' } : { kind: 'left-program', address: pc, from: cpu.lastPc }
  }

  #caseRun(stage: Stage, image: Image, result: RunResult): CaseRun {
    const { instance } = stage
    const driver = stage.request.image
    const whole = driver.segments.length === 0 ? image : mergeImages(image, driver).image
    const request: RunRequest = { ...stage.request, image: whole }
    const memory = once(() => {
      const start = stage.memory.slice()
      lay(start, image, stage)
      return start
    })
    return {
      caseId: instance.id,
      isVisible: instance.isVisible,
      profile: this.#setting.profile,
      program: this.programOf(image),
      request,
      result,
      initial: () => ({ memory: memory(), registers: registersAtStart(request) }),
      digits: once(() => this.#digits(stage, result)),
      recording: () => blind(result),
      model: () => stage.model,
      modelRecording: stage.modelRecording,
      callSite: stage.callSite,
      moved: (by) => this.#moved(stage, image, by),
      runUntil: (breakpoints) => run({ ...request, breakpoints, isWatchingWrites: false }),
    }
  }

  /** What an eye sees; where the display is written to as the model answer does, what it sees of that. */
  #digits(stage: Stage, { events, tStates }: RunResult): readonly DigitSpan[] {
    const { profile } = this.#setting
    const { model } = stage
    if (model === null || !isSameDisplay(events, tStates, model, profile)) {
      return digitTimeline(events, profile, 0, tStates)
    }
    const known = this.#modelDigits.get(stage) ?? digitTimeline(model.events, profile, 0, tStates)
    this.#modelDigits.set(stage, known)
    return known
  }

  #moved(stage: Stage, image: Image, by: number): RunResult {
    const { exercise, request, instance } = stage
    const segments = image.segments.map(({ start, bytes }) => ({ start: (start + by) & 0xffff, bytes }))
    // A driver calls the program by its address: it is assembled anew.
    const { profile } = this.#setting
    if (request.image.segments.length > 0) {
      return run(
        movedRequest(exercise, profile, this.programOf(image), instance.id, by, request.given.undefined?.start),
      )
    }
    return run({ ...request, image: { segments }, entry: (request.entry + by) & 0xffff, isWatchingWrites: false })
  }
}

/** Whether a display was written to in the same way at the same times, to the same end. */
function isSameDisplay(
  one: EventLog,
  tStates: TState,
  { events: other, tStates: until }: RunResult,
  { display }: BoardProfile,
): boolean {
  const isLater = [one, other].some((log) => log.timeAt(log.length - 1) > until)
  if (tStates !== until || isLater) return false
  const next = (log: EventLog, from: number): number => {
    let i = from
    while (i < log.length && !(log.codeAt(i) === eventCode.portWrite && isDisplay(log.whereAt(i)))) i += 1
    return i
  }
  const isDisplay = (port: number): boolean => port === display.segmentPort || port === display.selectPort
  let [i, j] = [next(one, 0), next(other, 0)]
  while (i < one.length && j < other.length) {
    const isSame =
      one.timeAt(i) === other.timeAt(j) && one.whereAt(i) === other.whereAt(j) && one.valueAt(i) === other.valueAt(j)
    if (!isSame) return false
    i = next(one, i + 1)
    j = next(other, j + 1)
  }
  return i >= one.length && j >= other.length
}

/** Puts a program into memory, under what the case itself puts there. */
function lay(memory: Uint8Array, image: Image, { memory: start, overlays }: Stage): void {
  for (const segment of image.segments) memory.set(segment.bytes, segment.start)
  for (const { from, to } of overlays) memory.set(start.subarray(from, to), from)
}

/** A recording that finds nothing: for checks that ask it only where they were decided, once they know the verdict. */
function blind(result: RunResult): Recording {
  return {
    result,
    events: result.events,
    digits: [],
    checkpointBytes: 0,
    at: () => ({ step: 0, t: 0, registers: result.registers, memory: result.memory, outputs: nothingOut }),
    stepAt: () => 0,
    steps: () => [],
    walk: () => undefined,
    find: () => null,
    get questions(): never {
      throw new Error('a check that knows its verdict asks only where it was decided')
    },
  }
}

const nothingOut: Outputs = {
  ...{ segments: 0, select: 0, speaker: 0, lamps: 0, switches: 0, keysDown: [] },
  ...{ isTimerOn: false, isInterruptWaiting: false },
}

function once<T>(make: () => T): () => T {
  let made: { readonly value: T } | null = null
  return () => {
    made ??= { value: make() }
    return made.value
  }
}
