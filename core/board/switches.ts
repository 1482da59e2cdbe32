import type { Byte, TState } from '../cpu/index.ts'
import { eventCode, type EventLog } from './event-log.ts'

/** All switches of the board from a moment on, bit by bit as on their port. */
export interface SwitchMove {
  readonly at: TState
  readonly value: Byte
  /** Moved to see that it changes nothing. */
  readonly isIdle?: boolean
}

/** The switches over time: moves known beforehand, and switches moved while the board runs. */
export class Switches {
  #value: Byte = 0
  /** Still to come, in order of time. */
  #moves: readonly SwitchMove[] = []

  get value(): Byte {
    return this.#value
  }

  /** T-state of the next move; Infinity when none is to come. */
  get nextChange(): TState {
    return this.#moves[0]?.at ?? Infinity
  }

  /** Add moves to what is to come; of two at the same T-state the later one in the list holds. */
  schedule(moves: readonly SwitchMove[]): void {
    if (moves.length === 0) return
    this.#moves = [...this.#moves, ...moves].toSorted((a, b) => a.at - b.at)
  }

  /** How they stand from now on, until a move; without a word to the log. */
  put(value: Byte): void {
    this.#value = value & 0xff
  }

  /** Move them at `t`; nothing is told where they stand so already. */
  move(value: Byte, t: TState, log: EventLog | null): void {
    const before = this.#value
    this.put(value)
    if (this.#value !== before) log?.append(eventCode.switches, t, 0, 0, this.#value)
  }

  /** Let every move up to and including `t` happen, each at its own time. */
  catchUp(t: TState, log: EventLog | null): void {
    for (let move = this.#moves[0]; move !== undefined && move.at <= t; move = this.#moves[0]) {
      this.#moves = this.#moves.slice(1)
      this.move(move.value, move.at, log)
    }
  }

  /** Everything that decides how they stand from now on. */
  save(): SwitchesState {
    return { value: this.#value, moves: this.#moves }
  }

  restore({ value, moves }: SwitchesState): void {
    this.#value = value
    this.#moves = moves
  }
}

export interface SwitchesState {
  readonly value: Byte
  readonly moves: readonly SwitchMove[]
}
