import { countWork, digitTimeline } from '../board/index.ts'
import type { DigitSpan, EventLog } from '../board/index.ts'
import { decode } from '../cpu/index.ts'
import type { Addr, Byte, Registers, TracedStep, TState } from '../cpu/index.ts'
import { Answers } from './answers.ts'
import { execute, prepare } from './execute.ts'
import type { Machine } from './machine.ts'
import type { Questions } from './questions.ts'
import type { Outputs, Recording, SearchTarget, Snapshot, TraceStep } from './recording.ts'
import { Replay } from './replay.ts'
import type { RunOptions, RunRequest, RunResult } from './request.ts'
import { search } from './search.ts'

// At 250,000 T a visit takes twice as long; at 50,000 T a run that writes everywhere would keep 2 KB of RAM so often that
// 8 million T-states need more than 300 KB (tests/benchmarks/seek.ts).
const checkpointEvery = 100_000
const mostSteps = 10_000
/** What it takes to make the objects of one. */
const workOfShownStep = 60

/** Runs a program like `run`, and keeps what is needed to go to any point of it. Stack depth is followed too. */
export function record(request: RunRequest, options: RunOptions = {}): Recording {
  const replay = new Replay(request)
  prepare(replay.machine, request)
  replay.take()
  const checkpoints = { every: checkpointEvery, take: () => replay.take() }
  const result = execute(replay.machine, request, { ...options, checkpoints, isWatchingStack: true })
  replay.seal()
  return new ReplayedRun(request, result, replay)
}

class ReplayedRun implements Recording {
  readonly result: RunResult
  readonly #request: RunRequest
  readonly #replay: Replay
  #digits: readonly DigitSpan[] | null = null

  constructor(request: RunRequest, result: RunResult, replay: Replay) {
    this.#request = request
    this.result = result
    this.#replay = replay
  }

  get events(): EventLog {
    return this.result.events
  }

  get digits(): readonly DigitSpan[] {
    this.#digits ??= digitTimeline(this.events, this.#request.profile, 0, this.result.tStates)
    return this.#digits
  }

  get checkpointBytes(): number {
    return this.#replay.size
  }

  at(step: number): Snapshot {
    const machine = this.#replay.seek(this.#clamp(step))
    return {
      step: machine.steps,
      t: machine.tStates,
      registers: machine.registers(),
      memory: machine.memory.slice(),
      outputs: outputsOf(machine),
    }
  }

  stepAt(t: TState): number {
    if (t < 0) return 0
    if (t >= this.result.tStates) return this.result.steps
    return this.#replay.seekPast(t).steps - 1
  }

  steps(from: number, to: number): readonly TraceStep[] {
    const first = this.#clamp(from)
    const after = Math.min(this.#clamp(to), first + mostSteps)
    countWork(workOfShownStep * Math.max(0, after - first))
    const steps: TraceStep[] = []
    let open: { traced: TracedStep; bytes: readonly Byte[]; step: number } | null = null
    const close = (t: TState, after: Registers) => {
      if (open === null) return
      const { traced, bytes, step } = open
      const { kind, pc, before, writes: memoryWrites } = traced
      steps.push({ step, kind, t: traced.t, tStates: t - traced.t, pc, bytes, before, after, memoryWrites })
    }
    this.#replay.trace(first, after, (traced, step, memory) => {
      close(traced.t, traced.before)
      open = { traced, bytes: bytesOf(traced, memory), step }
    })
    const end = this.#replay.seek(after)
    close(end.tStates, end.registers())
    return steps
  }

  walk(from: number, to: number, visit: (step: number, t: TState, pc: Addr, sp: Addr) => void): void {
    this.#replay.walk(this.#clamp(from), this.#clamp(to), visit)
  }

  find(from: number, direction: 'back' | 'on', what: SearchTarget): number | null {
    return search(this, this.#replay, this.#clamp(from), direction, what)
  }

  get questions(): Questions {
    this.#questions ??= new Answers(this, this.#replay, this.#request)
    return this.#questions
  }
  #questions: Questions | null = null

  #clamp(step: number): number {
    return Math.max(0, Math.min(this.result.steps, Math.floor(step)))
  }
}

function outputsOf({ board, tStates }: Machine): Outputs {
  // Contacts move by themselves; the board looks at them when a program does.
  board.catchUp(tStates)
  const { segments, select, speaker, lamps, switches, isTimerOn, isInterruptWaiting } = board.save()
  return {
    ...{ segments, select, speaker, lamps, isTimerOn, isInterruptWaiting },
    ...{ switches: switches.value, keysDown: board.keypad.down() },
  }
}

/** The bytes of an instruction, prefixes that others override included. */
function bytesOf({ kind, pc }: TracedStep, memory: Uint8Array): readonly Byte[] {
  if (kind === 'interrupt') return []
  if (kind === 'halted') return [0x76]
  const bytes: Byte[] = []
  for (;;) {
    const decoded = decode((address) => memory[address & 0xffff] ?? 0, (pc + bytes.length) & 0xffff)
    bytes.push(...decoded.bytes)
    const isOverridden = decoded.bytes.length === 1 && (decoded.bytes[0] === 0xdd || decoded.bytes[0] === 0xfd)
    if (!isOverridden || bytes.length >= 16) return bytes
  }
}
