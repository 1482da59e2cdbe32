import { attribute } from '../cpu/index.ts'
import type { TState } from '../cpu/index.ts'
import { watch } from './hits.ts'
import type { History, HistorySubject, RegisterName } from './questions.ts'
import type { Recording } from './recording.ts'
import { registerValue } from './register-value.ts'
import type { Replay } from './replay.ts'

/** So that a value that changes in every instruction does not fill the memory of a browser. */
const mostChanges = 1_000_000

/** How a register or a byte changed over a window of the run, the whole by default. */
export function historyOf(
  recording: Recording,
  replay: Replay,
  what: HistorySubject,
  window: { readonly from: TState; readonly to: TState } = { from: 0, to: recording.result.tStates },
): History {
  const { tStates } = recording.result
  const from = Math.max(0, Math.min(tStates, window.from))
  const to = Math.max(from, Math.min(tStates, window.to))
  const first = recording.stepAt(from)
  const after = Math.min(recording.result.steps, recording.stepAt(to) + 1)
  const changes = new Changes(from, to)
  if (what.kind === 'memory') {
    const { address } = what
    changes.start(replay.seek(first).memory[address] ?? 0)
    const isRam = ((replay.machine.cpu.attributes[address] ?? 0) & attribute.readOnly) === 0
    if (isRam) watch(replay, address, first, after, (t, value) => changes.add(t, value))
  } else {
    changes.start(registerValue(replay.seek(first).registers(), what.register))
    registerChanges(replay, what.register, first, after, changes)
  }
  return changes.finish()
}

function registerChanges(replay: Replay, register: RegisterName, first: number, after: number, changes: Changes) {
  replay.scan(first, after, (trace, _step, count) => {
    const valueOf = trace.column(register)
    const timeOf = trace.times()
    for (let k = 0; k < count; k++) {
      const value = valueOf(k)
      if (value !== changes.last && !changes.add(timeOf(k), value)) return false
    }
    return true
  })
  const end = replay.seek(after)
  changes.add(end.tStates, registerValue(end.registers(), register))
}

/** Times and values that grow; what lies before the window only sets what holds at its start. */
class Changes {
  last = 0
  readonly #from: TState
  readonly #to: TState
  #until: TState
  #times = new Float64Array(256)
  #values = new Int32Array(256)
  #length = 0

  constructor(from: TState, to: TState) {
    this.#from = from
    this.#to = to
    this.#until = to
  }

  start(value: number): void {
    this.last = value
    this.#push(this.#from, value)
  }

  /** False once there are too many. */
  add(t: TState, value: number): boolean {
    if (value === this.last || this.#until < this.#to || t >= this.#to) return this.#until === this.#to
    if (t <= this.#from) this.#values[0] = value
    else if (this.#length === mostChanges) {
      this.#until = t
      return false
    } else this.#push(t, value)
    this.last = value
    return true
  }

  finish(): History {
    const times = this.#times.slice(0, this.#length)
    return { times, values: this.#values.slice(0, this.#length), until: this.#until }
  }

  #push(t: TState, value: number): void {
    if (this.#length === this.#times.length) {
      const times = new Float64Array(2 * this.#length)
      const values = new Int32Array(2 * this.#length)
      times.set(this.#times)
      values.set(this.#values)
      this.#times = times
      this.#values = values
    }
    this.#times[this.#length] = t
    this.#values[this.#length] = value
    this.#length += 1
  }
}
