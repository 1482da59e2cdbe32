/** A press of a key as its author writes it; times are texts such as `800 ms`. */
export interface KeyRow {
  readonly key: string
  readonly at: string
  readonly for: string
  /** Empty: a clean contact. */
  readonly bounce: string
}

/** Switches moved, as the author writes it. */
export interface MoveRow {
  readonly at: string
  /** How all of them stand from then on, as on their port. */
  readonly to: number
}

/** How a model answer comes to its end, as the page asks for it. */
export type EndChoice = 'halt' | 'return' | 'runs-on' | 'sheet'

const time = /^\d+(\.\d+)?\s*(T|us|ms|s)$/

/** What a model answer is given beside memory, while its author writes it: keys over time, switches, the timer. */
export class DraftInputs {
  #keys = $state.raw<readonly KeyRow[]>([])
  #switches = $state(0)
  #moves = $state.raw<readonly MoveRow[]>([])
  #timer = $state<boolean | null>(null)
  ending = $state<EndChoice>('halt')
  lasts = $state('4 s')

  get keys(): readonly KeyRow[] {
    return this.#keys
  }

  /** As on the port of the switches, at the start. */
  get switches(): number {
    return this.#switches
  }

  get moves(): readonly MoveRow[] {
    return this.#moves
  }

  /** What is wrong with the time of a move; null where it is right. */
  get moveErrors(): readonly (string | null)[] {
    return this.#moves.map(({ at }) => (time.test(at.trim()) ? null : wrongTime(at)))
  }

  /** Null: nobody has said, and it is as the board has it. */
  get timer(): boolean | null {
    return this.#timer
  }

  /** What is wrong with the times, one sentence a row; null where a row is right. */
  get errors(): readonly (string | null)[] {
    return this.#keys.map(({ at, for: length, bounce }) => {
      const wrong = [at, length, ...(bounce.trim() === '' ? [] : [bounce])].find((text) => !time.test(text.trim()))
      return wrong === undefined ? null : wrongTime(wrong)
    })
  }

  get isReady(): boolean {
    const errors = [...this.errors, ...this.moveErrors]
    return errors.every((error) => error === null) && (this.ending !== 'runs-on' || time.test(this.lasts.trim()))
  }

  get lastsError(): string | null {
    return time.test(this.lasts.trim()) ? null : 'Wanted a time, as in 4 s.'
  }

  /** The same as an exercise's `given` has it; what stands as on the bare board is left out. */
  get given(): Readonly<Record<string, unknown>> {
    const keys = this.#keys.map(({ key, at, for: length, bounce }) => ({
      ...{ key, at: at.trim(), for: length.trim() },
      ...(bounce.trim() === '' ? {} : { bounce: bounce.trim() }),
    }))
    return {
      ...(keys.length > 0 ? { keys } : {}),
      ...(this.#switches > 0 ? { switches: this.#switches } : {}),
      ...(this.#moves.length > 0 ? { switchMoves: this.#moves.map(({ at, to }) => ({ at: at.trim(), to })) } : {}),
      ...(this.#timer === null ? {} : { timer: this.#timer }),
    }
  }

  /** One more press, half a second after the last one is let go. */
  addKey(key: string): void {
    const last = this.#keys.at(-1)
    const at = last === undefined ? 500 : milliseconds(last.at) + milliseconds(last.for) + 500
    this.#keys = [...this.#keys, { key, at: `${at} ms`, for: '100 ms', bounce: '' }]
  }

  setKey(index: number, some: Partial<KeyRow>): void {
    this.#keys = this.#keys.map((row, i) => (i === index ? { ...row, ...some } : row))
  }

  removeKey(index: number): void {
    this.#keys = this.#keys.filter((_, i) => i !== index)
  }

  takeKeys(keys: readonly KeyRow[]): void {
    this.#keys = keys
  }

  setSwitches(value: number): void {
    this.#switches = value & 0xff
  }

  /** One more move, half a second after the last one: nothing is turned in it yet. */
  addMove(): void {
    const last = this.#moves.at(-1)
    const at = last === undefined ? 500 : milliseconds(last.at) + 500
    this.#moves = [...this.#moves, { at: `${at} ms`, to: last?.to ?? this.#switches }]
  }

  setMove(index: number, some: Partial<MoveRow>): void {
    this.#moves = this.#moves.map((row, i) => (i === index ? { ...row, ...some } : row))
  }

  removeMove(index: number): void {
    this.#moves = this.#moves.filter((_, i) => i !== index)
  }

  takeMoves(moves: readonly MoveRow[]): void {
    this.#moves = moves
  }

  setTimer(isOn: boolean): void {
    this.#timer = isOn
  }
}

function wrongTime(found: string): string {
  return `Found ‘${found}’, wanted a time as in 800 ms or 2 s.`
}

/** Of T-states nobody here knows how long one is. */
function milliseconds(text: string): number {
  const [, amount = '0', unit = ''] = /^(\d+(?:\.\d+)?)\s*(us|ms|s)$/.exec(text.trim()) ?? []
  return Math.round(Number(amount) * (unit === 's' ? 1000 : unit === 'ms' ? 1 : 0.001))
}
