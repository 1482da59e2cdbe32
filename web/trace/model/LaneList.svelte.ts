import type { Lane } from './lane.ts'
import { type LaneWish, readWish, wishId, wishTitle } from './lane-wish.ts'

export interface LaneEntry {
  readonly id: string
  readonly title: string
  readonly isOn: boolean
  /** Null for the lanes that every run has. */
  readonly wish: LaneWish | null
}

const standard: readonly LaneEntry[] = [
  { id: 'digits', title: 'Digits', isOn: true, wish: null },
  { id: 'select', title: 'Digit select', isOn: false, wish: null },
  { id: 'segments', title: 'Segments', isOn: false, wish: null },
  { id: 'speaker', title: 'Speaker', isOn: true, wish: null },
  { id: 'keys', title: 'Keys', isOn: true, wish: null },
  { id: 'switches', title: 'Switches', isOn: true, wish: null },
  { id: 'lamps', title: 'Lamps', isOn: true, wish: null },
  { id: 'place', title: 'Where', isOn: true, wish: null },
  { id: 'depth', title: 'Stack', isOn: true, wish: null },
  { id: 'interrupts', title: 'Interrupts', isOn: true, wish: null },
]

const key = 'hexcairn-lanes'
/** More than this would be no drawing any more. */
const mostAdded = 16

type Store = Pick<Storage, 'getItem' | 'setItem'>

/** Which lanes are drawn, in which order; kept in this browser from one trace to the next. */
export class LaneList {
  readonly #store: Store | null
  #entries = $state.raw<readonly LaneEntry[]>(standard)

  /** Without a store nothing is kept. */
  constructor(store: Store | null) {
    this.#store = store
    this.#entries = read(store)
  }

  get entries(): readonly LaneEntry[] {
    return this.#entries
  }

  get wishes(): readonly LaneWish[] {
    return this.#entries.flatMap(({ wish }) => (wish === null ? [] : [wish]))
  }

  get isFull(): boolean {
    return this.wishes.length >= mostAdded
  }

  turn(id: string): void {
    this.#set(this.#entries.map((entry) => (entry.id === id ? { ...entry, isOn: !entry.isOn } : entry)))
  }

  /** Up with −1, down with 1; at the ends it stays where it is. */
  move(id: string, by: -1 | 1): void {
    const at = this.#entries.findIndex((entry) => entry.id === id)
    const entry = this.#entries[at]
    const to = at + by
    if (entry === undefined || to < 0 || to >= this.#entries.length) return
    this.#set(this.#entries.toSpliced(at, 1).toSpliced(to, 0, entry))
  }

  /** Below all others. False where it is there already (it is switched on then) or there are enough. */
  add(wish: LaneWish): boolean {
    const id = wishId(wish)
    if (this.#entries.some((entry) => entry.id === id)) {
      this.#set(this.#entries.map((entry) => (entry.id === id ? { ...entry, isOn: true } : entry)))
      return false
    }
    if (this.isFull) return false
    this.#set([...this.#entries, { id, title: wishTitle(wish), isOn: true, wish }])
    return true
  }

  /** Only a lane that was added goes; the others can be switched off. */
  remove(id: string): void {
    this.#set(this.#entries.filter((entry) => entry.id !== id || entry.wish === null))
  }

  /** As at first. */
  reset(): void {
    this.#set(standard)
  }

  /** Those of the lanes that are switched on, in the order of the list. */
  arranged(lanes: readonly Lane[]): readonly Lane[] {
    return this.#entries.filter(({ isOn }) => isOn).flatMap(({ id }) => lanes.filter((lane) => entryOf(lane) === id))
  }

  #set(entries: readonly LaneEntry[]): void {
    this.#entries = entries
    try {
      this.#store?.setItem(key, entries.map(({ id, isOn }) => (isOn ? id : `-${id}`)).join(' '))
    } catch {
      // A browser that keeps nothing: the list holds as long as the page.
    }
  }
}

/** All digits go together. */
function entryOf(lane: Lane): string {
  return lane.kind === 'digit' ? 'digits' : lane.id
}

/** `digits -select register-HL`; what is unknown is left out, what is missing stands where it stands at first. */
function read(store: Store | null): readonly LaneEntry[] {
  let text: string | null
  try {
    text = store?.getItem(key) ?? null
  } catch {
    return standard
  }
  if (text === null) return standard
  const kept: LaneEntry[] = []
  for (const word of text.split(' ')) {
    const isOn = !word.startsWith('-')
    const id = isOn ? word : word.slice(1)
    const wish = readWish(id)
    const known = standard.find((entry) => entry.id === id)
    if (kept.some((entry) => entry.id === id)) continue
    if (known !== undefined) kept.push({ ...known, isOn })
    else if (wish !== null && kept.filter((entry) => entry.wish !== null).length < mostAdded)
      kept.push({ id, title: wishTitle(wish), isOn, wish })
  }
  const missing = standard.filter(({ id }) => !kept.some((entry) => entry.id === id))
  return [...kept, ...missing]
}
