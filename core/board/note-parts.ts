import type { TState } from '../cpu/index.ts'

/** Waves that differ from a note's own by less than this part belong to it. */
const samePitch = 0.02
/** A half wave this many times longer than its like before and after it is a silence, if an ear hears it as one. */
const silenceRatio = 2.5
/** Shorter by this much, in seconds, no missing time is heard: an ear needs some milliseconds to notice a gap. */
const shortestSilence = 1 / 2000
/** No tone has half waves longer than this (20 Hz, the lowest that is heard as a tone). */
const longestHalfWave = 1 / 40
/** What a handler may take out of one half wave, in seconds: some hundred T-states of a board at 2.5 MHz. */
const handlerTime = 1 / 4000
/** Whole waves (one begins at each edge) from which the usual one is taken. */
const usualFrom = 16

/** The edges `[first, after)` of one note. The edge at a change of pitch belongs to both. */
export type NotePart = readonly [first: number, after: number]

/**
 * Parts the times of edges into notes as an ear does. The limits are common practice, no source.
 *
 * - A silence ends a note: a half wave longer than 25 ms; or 2.5 times longer than its like (cone at 1, or at 0) before and
 *   after it, and by half a millisecond more. A whole wave left out below 2 kHz is one; so is any pause heard between two
 *   tones of one pitch.
 * - A change of pitch of more than 2 % that lasts ends it: three waves on end (one begins at each edge) that are off on the
 *   same side. The pitch held against is that of the undisturbed ones of the note's first sixteen waves.
 * - Forgiven is what a single half wave has that is not as the others: a late edge, the first and the last of a tone, or one
 *   that the timer's handler stretches, again and again. So is, on low notes, that a handler stretches several on end by up
 *   to a quarter of a millisecond each, as long as a quarter of the waves stays undisturbed.
 */
export function notePartsOf(t: readonly TState[], clockHz: number): NotePart[] {
  return soundsOf(t, clockHz).flatMap((sound) => pitchesOf(new Waves(t, ...sound, clockHz)))
}

/** Runs of edges without a silence inside. */
function soundsOf(t: readonly TState[], clockHz: number): NotePart[] {
  const sounds: NotePart[] = []
  const [shortest, longest] = [shortestSilence * clockHz, longestHalfWave * clockHz]
  let waves = new Waves(t, 0, t.length, clockHz)
  for (let k = 0; k < t.length; k++) {
    const half = waves.half(k)
    if (half <= shortest && k + 1 < t.length) continue
    const isLonger = (usual: TState) => half > silenceRatio * usual && half > usual + shortest
    const isSilence =
      k + 1 === t.length ||
      half > longest ||
      (k >= waves.first + 2 && isLonger(waves.halfBefore(k)) && (k + 3 >= t.length || isLonger(waves.halfAfter(k))))
    if (!isSilence) continue
    sounds.push([waves.first, k + 1])
    waves = new Waves(t, k + 1, t.length, clockHz)
  }
  return sounds
}

/** Runs of edges of one pitch. Whole waves are compared, so that a lopsided tone is one note. */
function pitchesOf(waves: Waves): NotePart[] {
  const pitches: NotePart[] = []
  let start = waves.first
  for (;;) {
    const change = changeAfter(waves, start)
    if (change === null) return [...pitches, [start, waves.after]]
    const turn = waves.isHalfLike(change, waves.halfBefore(change), waves.halfAfter(change)) ? change + 1 : change
    pitches.push([start, turn + 1])
    // The edge between two pitches belongs to both, unless the time between them is no half wave of the new one.
    start = waves.isHalfLike(turn, waves.halfAfter(turn), Infinity) ? turn : turn + 1
  }
}

/** The first wave of another pitch than that of the note which begins at edge `start`; null where none follows. */
function changeAfter(waves: Waves, start: number): number | null {
  for (let count = usualFrom; ; count >>= 1) {
    const usual = waves.usual(start, count)
    const isShortest = count <= usualFrom / 4
    for (let k = isShortest ? start + 2 : start; ; k++) {
      if (k + 3 > waves.lastWave) return null
      if (!waves.isOff(k, usual)) continue
      if (k >= start + 2) return waves.withGapBefore(k, start + 2, usual)
      // A note of a few waves: what was taken for its pitch is that of the next one.
      break
    }
  }
}

/** The times between edges `[first, after)`: wave k is that from edge k to edge k + 2. */
class Waves {
  readonly first: number
  readonly after: number
  readonly #t: readonly TState[]
  readonly #handler: TState

  constructor(t: readonly TState[], first: number, after: number, clockHz: number) {
    this.#t = t
    this.first = first
    this.after = after
    this.#handler = handlerTime * clockHz
  }

  /** Waves are numbered from `first` to this, excluded. */
  get lastWave(): number {
    return this.after - 2
  }

  half(k: number): TState {
    return (this.#t[k + 1] ?? 0) - (this.#t[k] ?? 0)
  }

  wave(k: number): TState {
    return (this.#t[k + 2] ?? 0) - (this.#t[k] ?? 0)
  }

  /** The usual one of up to three half waves of the kind of `k` before it, and after it; 0 where there is none. */
  halfBefore(k: number): TState {
    return middle([k - 2, k - 4, k - 6].filter((at) => at >= this.first).map((at) => this.half(at)))
  }

  halfAfter(k: number): TState {
    return middle([k + 2, k + 4, k + 6].filter((at) => at + 1 < this.after).map((at) => this.half(at)))
  }

  /** Whether half wave `k` is one of `usual` T-states, stretched by a handler at most, and nearer to that than to `other`. */
  isHalfLike(k: number, usual: TState, other: TState): boolean {
    const more = this.half(k) - usual
    const isNear = more >= -samePitch * usual && more <= Math.max(samePitch * usual, this.#handler)
    return isNear && Math.abs(more) <= Math.abs(this.half(k) - other)
  }

  /** The undisturbed one of `count` waves from `start` on: a handler makes single waves longer, so the lower quartile. */
  usual(start: number, count: number): TState {
    const waves: TState[] = []
    for (let k = start; k < Math.min(start + count, this.lastWave); k++) waves.push(this.wave(k))
    return waves.sort((a, b) => a - b)[waves.length >> 2] ?? 0
  }

  /** The undisturbed one of the waves from `k` on; NaN where too few follow to tell. */
  #goesOn(k: number): TState {
    return this.lastWave - k < usualFrom / 2 ? NaN : this.usual(k, usualFrom)
  }

  /** Back from the change at wave `k` to where a pause just before it begins, which is in two waves. */
  withGapBefore(k: number, least: number, usual: TState): number {
    const isOdd = (at: number) => {
      const more = this.wave(at) - usual
      return at >= least && (more > Math.max(samePitch * usual, this.#handler) || more < -samePitch * usual)
    }
    if (!isOdd(k - 1)) return k
    return isOdd(k - 2) ? k - 2 : k - 1
  }

  /** Whether another pitch than that of `usual` begins with wave `k`. */
  isOff(k: number, usual: TState): boolean {
    const least = samePitch * usual
    const more = this.wave(k) - usual
    const allThree = (isSo: (more: TState) => boolean) =>
      isSo(more) && isSo(this.wave(k + 1) - usual) && isSo(this.wave(k + 2) - usual)
    if (more > least) {
      if (allThree((each) => each > Math.max(least, this.#handler))) return true
      return allThree((each) => each > least) && this.#goesOn(k) - usual > least
    }
    return more < -least && (allThree((each) => each < -least) || this.#goesOn(k) - usual < -least)
  }
}

/** The middle one of a few, the lower of two. */
function middle(times: readonly TState[]): TState {
  return times.toSorted((a, b) => a - b)[(times.length - 1) >> 1] ?? 0
}
