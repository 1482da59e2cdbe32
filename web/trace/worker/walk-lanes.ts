import type { Lane } from '../model/lane.ts'
import type { Places } from '../model/places.ts'
import { RunsBuilder } from '../model/runs.ts'

/** What can only be known by going through the run again, instruction by instruction: where it was, how deep the stack. */
export class WalkLanes {
  readonly #places: Places
  readonly #top: number
  readonly #place = new RunsBuilder()
  readonly #depth = new RunsBuilder()
  #deepest = 0

  /** `top` is SP at the start; depth counts from there. */
  constructor(places: Places, top: number) {
    this.#places = places
    this.#top = top
  }

  visit(t: number, pc: number, sp: number): void {
    this.#place.append(t, this.#places.indexOf[pc] ?? 0)
    const depth = ((this.#top - sp) << 16) >> 16
    this.#depth.append(t, depth)
    if (depth > this.#deepest) this.#deepest = depth
  }

  finish(end: number): readonly [place: Lane, depth: Lane] {
    const names = this.#places.all.map((place) => place.name)
    return [
      { kind: 'place', id: 'place', title: 'Where', runs: this.#place.finish(end), names },
      { kind: 'depth', id: 'depth', title: 'Stack', runs: this.#depth.finish(end), deepest: this.#deepest },
    ]
  }
}
