/** T-states that a key stays down at least, and that all stay up between two presses. */
export interface Touch {
  readonly hold: number
  readonly gap: number
}

interface Move {
  readonly key: string
  readonly isDown: boolean
}

/** More than this typed ahead of a slow board is forgotten. */
const mostWaiting = 64

/**
 * Presses and releases on their way to the board, in their order. Firmware looks at the keys a hundred times a second at
 * most, in board time, which may be slower than ours: a quick tap is stretched, and a key typed too soon waits its turn.
 */
export class Fingers {
  readonly #touch: Touch
  readonly #waiting: Move[] = []
  readonly #downSince = new Map<string, number>()
  #lastUp = -Infinity

  constructor(touch: Touch) {
    this.#touch = touch
  }

  move(key: string, isDown: boolean): void {
    if (this.#waiting.length < mostWaiting || !isDown) this.#waiting.push({ key, isDown })
  }

  /** The moves that the board may see at T-state `t`. */
  due(t: number): readonly Move[] {
    const moves: Move[] = []
    for (let next = this.#waiting[0]; next !== undefined && this.#isDue(next, t); next = this.#waiting[0]) {
      this.#waiting.shift()
      if (next.isDown) this.#downSince.set(next.key, t)
      else {
        this.#downSince.delete(next.key)
        this.#lastUp = t
      }
      moves.push(next)
    }
    return moves
  }

  #isDue({ key, isDown }: Move, t: number): boolean {
    if (isDown) return t >= this.#lastUp + this.#touch.gap
    return t >= (this.#downSince.get(key) ?? -Infinity) + this.#touch.hold
  }
}
