import type { BoardProfile } from '../../board/index.ts'
import type { Addr, TState } from '../../cpu/index.ts'
import type { RegisterName } from '../../run/index.ts'
import { knownOf } from '../slice/why-value.ts'
import type { Comparison, Difference, LockedPair, PlacedEvent } from './difference.ts'
import { byteOf, endOf, lanesOf, leftOf, type ComparedRun, type Lane, type Observed } from './observe.ts'
import type { CompareOptions } from './options.ts'

/** Events this near each other happen at the same time, whatever the tolerance. */
const sameTime = 0.05
/** Pairs of events that agree; of more the first ones. */
const mostLocked = 300
/** Bytes of memory that agree and were written by both, told as pairs. */
const mostBytes = 64

/**
 * Holds two runs of the same case against each other by what can be noticed: digits as an eye sees them, tones, other
 * ports, and what the options mark in memory and registers; never by their instructions. Gives the first wrong event and
 * the events that agree.
 */
export function compareRuns(
  wanted: ComparedRun,
  found: ComparedRun,
  profile: BoardProfile,
  options: CompareOptions = {},
): Comparison {
  const comparing = new Comparing(wanted, found, profile, options)
  return { difference: comparing.difference(), locked: comparing.locked() }
}

/** A difference that one lane shows, before the earliest of all is chosen. */
interface Candidate {
  readonly kind: Difference['kind']
  readonly wanted: Observed | null
  readonly found: Observed | null
  /** When it can be noticed. */
  readonly t: TState
}

class Comparing {
  readonly #wanted: ComparedRun
  readonly #found: ComparedRun
  readonly #profile: BoardProfile
  readonly #options: CompareOptions
  readonly #candidates: Candidate[] = []
  readonly #pairs: (readonly [Observed, Observed])[] = []
  #hasOutput = false

  constructor(wanted: ComparedRun, found: ComparedRun, profile: BoardProfile, options: CompareOptions) {
    this.#wanted = wanted
    this.#found = found
    this.#profile = profile
    this.#options = options
    this.#lanes()
    this.#memory()
    this.#left()
    this.#end()
  }

  #lanes(): void {
    const wanted = lanesOf(this.#wanted, this.#profile, this.#options)
    const found = lanesOf(this.#found, this.#profile, this.#options)
    for (const name of new Set([...wanted.keys(), ...found.keys()])) {
      const isAtEnd = name.startsWith('register') || name.startsWith('flag')
      if (isAtEnd) this.#atEnd(wanted.get(name)?.[0], found.get(name)?.[0])
      else this.#lane(wanted.get(name) ?? [], found.get(name) ?? [])
    }
  }

  /** What is left at the end; nothing to compare where the found run came to no end of its own. */
  #left(): void {
    const wanted = leftOf(this.#wanted, this.#profile, this.#options)
    const found = leftOf(this.#found, this.#profile, this.#options)
    for (const [i, one] of wanted.entries()) {
      const other = found[i]
      if (other === undefined || !hasEnded(this.#found) || this.#isAlike(one, other)) continue
      this.#candidates.push({ kind: 'other', wanted: one, found: other, t: other.t })
    }
  }

  #lane(wanted: Lane, found: Lane): void {
    if (wanted.length + found.length > 0) this.#hasOutput = true
    for (let i = 0; i < Math.max(wanted.length, found.length); i++) {
      const [one, other] = [wanted[i], found[i]]
      if (one === undefined || other === undefined) {
        const only = one ?? other
        if (only === undefined) return
        const kind = one === undefined ? 'extra' : 'missing'
        this.#candidates.push({ kind, wanted: one ?? null, found: other ?? null, t: only.t })
        return
      }
      const kind = this.#isAlike(one, other) ? this.#timeOf(one, other) : 'other'
      if (kind !== null) {
        const t = kind === 'late' ? other.t : Math.min(one.t, other.t)
        this.#candidates.push({ kind, wanted: one, found: other, t })
        return
      }
      this.#pairs.push([one, other])
    }
  }

  #isAlike({ event: wanted }: Observed, { event: found }: Observed): boolean {
    const { frequency = 0.02, length = 0.05, duty = null } = this.#options
    if (wanted.kind === 'note' && found.kind === 'note') {
      const isPitch = Math.abs(found.hz - wanted.hz) <= frequency * wanted.hz
      const isLength = Math.abs(found.tStates - wanted.tStates) <= length * wanted.tStates
      const isDuty = duty === null || Math.abs((found.duty ?? 0) - (wanted.duty ?? 0)) <= duty
      return isPitch && isLength && isDuty
    }
    if (wanted.kind === 'digit' && found.kind === 'digit') {
      return found.glyph === wanted.glyph && (found.isSteady || !wanted.isSteady)
    }
    return JSON.stringify(wanted) === JSON.stringify(found)
  }

  #timeOf(wanted: Observed, found: Observed): 'early' | 'late' | null {
    const near = (this.#options.time ?? 0.1) * wanted.t + sameTime * this.#profile.clockHz
    if (Math.abs(found.t - wanted.t) <= near) return null
    return found.t < wanted.t ? 'early' : 'late'
  }

  /** What a register holds at the end; nothing to compare where the found run came to no end of its own. */
  #atEnd(wanted: Observed | undefined, found: Observed | undefined): void {
    if (wanted === undefined || found === undefined || !hasEnded(this.#found)) return
    const { event } = wanted
    const isSame = event.kind === 'register' ? this.#isRight('register', event.register) : null
    if (isSame ?? this.#isAlike(wanted, found)) return
    const changed = lastChange(this.#found, wanted)
    const place = changed ?? found.t
    this.#candidates.push({ kind: 'other', wanted, found: { ...found, t: place }, t: place })
  }

  /** Whether the found run left something right where more than one value is; null where a single one is. */
  #isRight(...[kind, of]: ['register', string] | ['bytes', Addr]): boolean | null {
    const here = (this.#options.open ?? []).filter(({ place }) =>
      place.kind === 'bytes' && kind === 'bytes'
        ? of >= place.at && of < place.at + place.length
        : place.kind === kind && place.kind === 'register' && place.register === of,
    )
    const { result } = this.#found.recording
    return here.length === 0 ? null : here.every((each) => each.isRight(result))
  }

  #memory(): void {
    const { memory = [] } = this.#options
    const isProgram = (address: Addr): boolean =>
      [...imageSpans(this.#wanted), ...imageSpans(this.#found)].some(({ from, to }) => address >= from && address <= to)
    const told = new Set<Addr>()
    for (const { from, to } of memory) {
      for (let address = from; address <= to; address++) {
        if (told.has(address) || isProgram(address)) continue
        told.add(address)
        this.#byte(address)
      }
    }
  }

  #byte(address: Addr): void {
    const wanted = byteOf(this.#wanted, address)
    const found = byteOf(this.#found, address)
    const isSame = this.#isRight('bytes', address) ?? this.#isAlike(wanted, found)
    if (isSame && this.#bytesPaired >= mostBytes) return
    const [wantedAt, foundAt] = [lastWrite(this.#wanted, address), lastWrite(this.#found, address)]
    if (isSame) {
      if (wantedAt === null || foundAt === null) return
      this.#bytesPaired += 1
      this.#pairs.push([
        { ...wanted, t: wantedAt },
        { ...found, t: foundAt },
      ])
      return
    }
    const kind = foundAt === null ? 'missing' : wantedAt === null ? 'extra' : 'other'
    const t = foundAt ?? wantedAt ?? found.t
    this.#candidates.push({
      kind,
      wanted: wantedAt === null ? null : { ...wanted, t: wantedAt },
      found: foundAt === null ? null : { ...found, t: foundAt },
      t,
    })
  }
  #bytesPaired = 0

  #end(): void {
    const wanted = endOf(this.#wanted)
    const found = endOf(this.#found)
    if (!this.#isAlike(wanted, found)) this.#candidates.push({ kind: 'other', wanted, found, t: found.t })
    else {
      const kind = this.#timeOfEnd(wanted, found)
      if (kind === null) this.#pairs.push([wanted, found])
      else this.#candidates.push({ kind, wanted, found, t: found.t })
    }
  }

  #timeOfEnd(wanted: Observed, found: Observed): 'early' | 'late' | null {
    const { leastTStates = null, mostTStates = null } = this.#options
    if (leastTStates === null && mostTStates === null) return this.#hasOutput ? this.#timeOf(wanted, found) : null
    if (found.t > (mostTStates ?? Infinity)) return 'late'
    return found.t < (leastTStates ?? 0) ? 'early' : null
  }

  difference(): Difference | null {
    const [first] = this.#candidates.toSorted((a, b) => a.t - b.t)
    if (first === undefined) return null
    const { kind, t } = first
    const wanted = first.wanted === null ? null : placed(this.#wanted, first.wanted)
    const found = first.found === null ? null : placed(this.#found, first.found)
    return {
      kind,
      wanted,
      found,
      at: {
        wanted: wanted === null ? placeAt(this.#wanted, t) : { step: wanted.step, t: wanted.t },
        found: found === null ? placeAt(this.#found, t) : { step: found.step, t: found.t },
      },
      sentence: sentenceOf(kind, wanted, found, this.#profile),
    }
  }

  locked(): readonly LockedPair[] {
    const inOrder = this.#pairs.toSorted((a, b) => a[0].t - b[0].t).slice(0, mostLocked)
    return inOrder.map(([wanted, found]) => ({
      wanted: placed(this.#wanted, wanted),
      found: placed(this.#found, found),
    }))
  }
}

function hasEnded({ recording }: ComparedRun): boolean {
  const { kind } = recording.result.end
  return kind === 'halted' || kind === 'returned'
}

function imageSpans({ request }: ComparedRun): readonly { readonly from: Addr; readonly to: Addr }[] {
  return request.image.segments.map(({ start, bytes }) => ({ from: start, to: start + bytes.length - 1 }))
}

function placeAt({ recording }: ComparedRun, t: TState): { readonly step: number; readonly t: TState } {
  const at = Math.min(t, recording.result.tStates)
  return { step: recording.stepAt(at), t: at }
}

function placed(run: ComparedRun, { event, t, text }: Observed): PlacedEvent {
  return { event, ...placeAt(run, t), text }
}

function lastWrite({ recording, request }: ComparedRun, address: Addr): TState | null {
  const { writes } = knownOf(recording, request).history
  const index = writes.lastBefore(address, Infinity)
  return index < 0 ? null : writes.timeAt(index)
}

/** When a register or the flags last changed; null where they never did. */
function lastChange({ recording }: ComparedRun, { event }: Observed): TState | null {
  if (event.kind !== 'register') return null
  const register = event.register.startsWith('flag') ? 'f' : (event.register as RegisterName)
  const step = recording.find(recording.result.steps, 'back', { kind: 'register-change', register })
  return step === null ? null : recording.at(step).t
}

function sentenceOf(
  kind: Difference['kind'],
  wanted: PlacedEvent | null,
  found: PlacedEvent | null,
  { clockHz }: BoardProfile,
): string {
  const at = ({ text, t }: PlacedEvent): string => `${text} at ${timeText(t, clockHz)}`
  if (wanted === null) return `Found: ${found === null ? 'nothing' : at(found)}; wanted: nothing like it.`
  if (found === null) return `Wanted: ${at(wanted)}; it never came.`
  const how = kind === 'early' ? 'Too early. ' : kind === 'late' ? 'Too late. ' : ''
  return `${how}Found: ${at(found)}; wanted: ${at(wanted)}.`
}

/** `12.5 ms`, or T-states where that is less than a tenth of one. */
function timeText(t: TState, clockHz: number): string {
  const ms = (t / clockHz) * 1000
  return ms < 0.1 ? `${t} T` : `${Math.round(ms * 10) / 10} ms`
}
