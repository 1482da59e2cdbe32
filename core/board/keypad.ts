import type { Byte, TState } from '../cpu/index.ts'
import type { EventLog } from './event-log.ts'
import type { BoardProfile } from './profile.ts'
import { encode } from './wiring.ts'

/** A key pressed and let go. `bounceTStates` makes and breaks the contact at both ends for that long; default 0. */
export interface KeyPress {
  readonly key: string
  readonly from: TState
  readonly to: TState
  readonly bounceTStates?: TState
  /** Pressed to see that it changes nothing: no answer to it is waited for. */
  readonly isIdle?: boolean
}

/** A change of one contact. */
interface Change {
  readonly t: TState
  readonly column: number
  readonly row: number
  readonly isClosed: boolean
  /** Told to the log: the press or the release itself, not a bounce. */
  readonly isEvent: boolean
}

/** How many times at most a bouncing contact may change at one end of a press. */
const bounceSlots = 16

/** The contacts of a keypad over time: a script of presses known beforehand, and keys pressed while it runs. */
export class Keypad {
  readonly #profile: BoardProfile
  /** Still to come, in order of time. */
  #changes: Change[] = []
  #next = 0
  /** Closed rows of each column. */
  readonly #closed: number[]

  constructor(profile: BoardProfile) {
    this.#profile = profile
    this.#closed = profile.keypad.keys.map(() => 0)
  }

  /** T-state of the next change; Infinity when none is to come. */
  get nextChange(): TState {
    return this.#changes[this.#next]?.t ?? Infinity
  }

  /** Add presses to what is to come. A key that the board has not is left out. */
  schedule(presses: readonly KeyPress[]): void {
    const changes = presses.flatMap((press, index) => this.#changesOf(press, index))
    this.#changes = [...this.#changes.slice(this.#next), ...changes].sort((a, b) => a.t - b.t)
    this.#next = 0
  }

  /** Close or open a contact at `t`. */
  set(key: string, isDown: boolean, t: TState): void {
    const place = this.#placeOf(key)
    if (place === null) return
    const change = { t, ...place, isClosed: isDown, isEvent: true }
    this.#changes = [...this.#changes.slice(this.#next), change].sort((a, b) => a.t - b.t)
    this.#next = 0
  }

  /** Let every change up to and including `t` happen; presses and releases go to the log at their own time. */
  catchUp(t: TState, log: EventLog | null): void {
    for (let change = this.#changes[this.#next]; change !== undefined && change.t <= t;) {
      const bit = 1 << change.row
      const rows = this.#closed[change.column] ?? 0
      this.#closed[change.column] = change.isClosed ? rows | bit : rows & ~bit
      if (change.isEvent)
        log?.push({
          kind: 'key',
          t: change.t,
          key: this.#profile.keypad.keys[change.column]?.[change.row] ?? '',
          isDown: change.isClosed,
        })
      this.#next += 1
      change = this.#changes[this.#next]
    }
  }

  /** The byte on the row port while the columns of `selected` (bit k = column k) are selected. */
  rows(selected: number): Byte {
    const closed = this.#closed.reduce((sum, rows, column) => ((selected >> column) & 1 ? sum | rows : sum), 0)
    return encode(closed, [0, 1, 2, 3, 4, 5, 6, 7], this.#profile.keypad.isKeyActiveHigh)
  }

  /** Names of the keys whose contact is closed. */
  down(): string[] {
    return this.#profile.keypad.keys.flatMap((column, c) =>
      column.filter((name, row) => name !== '' && ((this.#closed[c] ?? 0) >> row) & 1),
    )
  }

  /** Everything that decides what the contacts do from now on. */
  save(): KeypadState {
    return { closed: [...this.#closed], changes: this.#changes.slice(this.#next) }
  }

  restore(state: KeypadState): void {
    state.closed.forEach((rows, column) => (this.#closed[column] = rows))
    this.#changes = [...state.changes]
    this.#next = 0
  }

  #placeOf(key: string): { column: number; row: number } | null {
    const { keys } = this.#profile.keypad
    const column = keys.findIndex((names) => key !== '' && names.includes(key))
    return column < 0 ? null : { column, row: keys[column]?.indexOf(key) ?? 0 }
  }

  #changesOf(press: KeyPress, index: number): Change[] {
    const place = this.#placeOf(press.key)
    if (place === null || press.to <= press.from) return []
    const bounce = Math.max(0, Math.floor(press.bounceTStates ?? 0))
    return [
      ...settle(press.from, Math.min(bounce, press.to - press.from - 1), true, index),
      ...settle(press.to, bounce, false, index),
    ].map((change) => ({ ...place, ...change }))
  }
}

export interface KeypadState {
  readonly closed: readonly number[]
  readonly changes: readonly Change[]
}

/**
 * A contact that comes to rest: it changes at once, is closed or open by chance in each sixteenth of the bounce, and
 * keeps its new state from then on. The chance is drawn from the number of the press, so it is the same in each run.
 */
function settle(t: TState, bounce: TState, isClosed: boolean, index: number): Omit<Change, 'column' | 'row'>[] {
  const changes = [{ t, isClosed, isEvent: true }]
  const slot = Math.max(1, Math.floor(bounce / bounceSlots))
  let draw = (index * 2 + (isClosed ? 1 : 0) + 1) * 0x9e3779b1
  for (let at = t + slot; at < t + bounce; at += slot) {
    draw = Math.imul(draw ^ (draw >>> 15), 0x2c1b3c6d)
    const isClosedNow = ((draw >>> 13) & 1) === 1
    if (isClosedNow !== changes[changes.length - 1]?.isClosed)
      changes.push({ t: at, isClosed: isClosedNow, isEvent: false })
  }
  if (changes[changes.length - 1]?.isClosed !== isClosed) changes.push({ t: t + bounce, isClosed, isEvent: false })
  return changes
}
